// SPDX-License-Identifier: Apache-2.0
// The marks of a run as the page moves them, and the pieces of the recording in which one device
// was worked.
import type { DeviceEffect } from "../api/disturbance_document";
import type { MarkNow, MovedMark } from "../api/types";

export interface Piece {
  from_s: number;
  to_s: number;
  marks: MarkNow[];
}

const same = (a: string, b: string) => a.toLowerCase() === b.toLowerCase();

/** Whether a mark puts the device back to where it started. */
export function isBack(mark: MarkNow, device: DeviceEffect): boolean {
  return !["1", "-1"].includes(mark.state) && !device.states.some((state) => same(state.state, mark.state));
}

/** One piece for each time the device was worked, with room before and after. By the times of the
    file, so that the drawing stands still while a mark is moved. */
export function piecesOf(device: DeviceEffect, marks: MarkNow[], begin: number, end: number): Piece[] {
  const own = marks.filter((mark) => same(mark.device, device.name)).sort((a, b) => a.given_s - b.given_s);
  const groups: MarkNow[][] = [];
  let open = false;
  for (const mark of own) {
    if (open) groups[groups.length - 1]?.push(mark);
    else groups.push([mark]);
    open = !isBack(mark, device);
  }
  return groups.map((group) => {
    const first = group[0]?.given_s ?? begin;
    const last = group[group.length - 1]?.given_s ?? end;
    const room = Math.max(12, 0.4 * (last - first));
    return { from_s: Math.max(begin, first - room), to_s: Math.min(end, last + room), marks: group };
  });
}

/** Only what is elsewhere than in the file. */
export const movedOnly = (marks: MarkNow[]): MovedMark[] =>
  marks.filter((mark) => mark.time_s !== mark.given_s).map(({ index, time_s }) => ({ index, time_s }));

/** The marks with one elsewhere, to the tenth of a second, inside the recording; back where it was
    it is exactly there. */
export function withMark(marks: MarkNow[], index: number, time_s: number, begin: number, end: number): MarkNow[] {
  const inside = (t: number) => Math.min(end, Math.max(begin, t));
  const at = (mark: MarkNow) => (Math.abs(time_s - mark.given_s) < 0.05 ? mark.given_s : inside(Math.round(inside(time_s) * 10) / 10));
  return marks.map((mark) => (mark.index === index ? { ...mark, time_s: at(mark) } : mark));
}
