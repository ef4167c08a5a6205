// SPDX-License-Identifier: Apache-2.0
// The words of a disturbance run, as the sheet has them.
import type { Combination, DeviceEffect, DisturbanceDocument, StateEffect, UnexplainedThing } from "../api/disturbance_document";
import { capital, clock, degrees, fixed, heading, span } from "./figures";

/** The state with the highest upper end: what the device is judged by. */
export function worstState(device: DeviceEffect): StateEffect | undefined {
  return device.states.reduce<StateEffect | undefined>((worst, state) =>
    (!worst || state.worst_heading_error_95_deg[1] > worst.worst_heading_error_95_deg[1] ? state : worst), undefined);
}

export const deviceAndState = (device: DeviceEffect, state: StateEffect) =>
  (device.states.length < 2 ? capital(device.name) : `${capital(device.name)}, ${state.state}`);

export const times = (count: number) => (count === 1 ? "once" : count === 2 ? "twice" : `${count} times`);

/** The one thing to know beside the figures. */
export function whyOf(device: DeviceEffect, state: StateEffect): string {
  if (state.lower_bound) return "Sensor at its rail: at least this much.";
  if (state.no_effect_seen) return "No effect seen: quiet, or skipped.";
  if (state.unproven) return "Not decided by this run.";
  if (state.visits.some((visit) => !visit.used)) return "A repeat was set aside.";
  if (device.pulsing) return `Pulses every ${fixed(device.pulsing.period_s, 1)} s; their mean.`;
  return `Worst near ${heading(state.worst_at_heading_deg)}. Worked ${times(device.repeats)}.`;
}

export const phaseName = (together: Combination) =>
  (together.phase === "everything" ? "Everything at once" : capital(together.phase));

export const letter = (index: number): string =>
  (index < 26 ? "" : letter(Math.floor(index / 26) - 1)) + String.fromCharCode(97 + (index % 26));

export const length = (v: readonly number[]) => Math.hypot(...v);

export function kindWords(thing: UnexplainedThing): string {
  const at = clock(thing.from_s);
  if (thing.kind === "step") return `A step at ${at}`;
  if (thing.kind === "pulse") return `A pulse of ${span(thing.to_s - thing.from_s)} at ${at}`;
  if (thing.kind === "spike") return `A spike at ${at}`;
  return `Pulses${thing.period_s === null ? "" : ` every ${fixed(thing.period_s, 1)} s`}, ${at} to ${clock(thing.to_s)}`;
}

export interface ToDo {
  lead: string;
  rest: string;
}

/** What to do, in this order: cures first, then what is not decided. */
export function whatToDo(document: DisturbanceDocument): ToDo[] {
  const list: ToDo[] = document.cure_order.map((name) => {
    const helped = document.combinations.find((one) => one.best_cure === name);
    return {
      lead: `Cure ${name}.`,
      rest: helped && helped.after_best_cure_deg !== null
        ? `${phaseName(helped)} then is at ${degrees(helped.after_best_cure_deg)}.`
        : "Move it, its return wire, or the sensor.",
    };
  });
  for (const device of document.devices) {
    const verdict = worstState(device)?.verdict;
    if (verdict?.state === "unproven" && verdict.do_next) list.push({ lead: `${capital(device.name)}.`, rest: verdict.do_next });
  }
  return list;
}
