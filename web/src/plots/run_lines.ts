// SPDX-License-Identifier: Apache-2.0
// What a trace draws: the field without the drift, the fit and what it leaves, along one direction.
import type { RunTrace } from "../api/disturbance_document";

export interface Lines {
  time_s: number[];
  data: number[];
  fit: number[];
  left: number[];
  used: boolean[];
}

const dot = (a: readonly number[], b: readonly number[]) => a.reduce((sum, value, i) => sum + value * (b[i] ?? 0), 0);
const less = (a: readonly number[], b: readonly number[]) => a.map((value, i) => value - (b[i] ?? 0));

/** The part from `from_s` to `to_s`, with one point more on each side, along the unit vector. */
export function linesAlong(trace: RunTrace, unit: readonly number[], from_s: number, to_s: number): Lines {
  const first = Math.max(0, trace.time_s.findIndex((t) => t >= from_s) - 1);
  const after = trace.time_s.findIndex((t) => t > to_s);
  const end = after < 0 ? trace.time_s.length : after + 1;
  const out: Lines = { time_s: [], data: [], fit: [], left: [], used: [] };
  for (let i = first; i < end; i += 1) {
    const [field, fit, rest] = [trace.field_uT[i], trace.fit_uT[i], trace.rest_uT[i]];
    if (!field || !fit || !rest) continue;
    out.time_s.push(trace.time_s[i] ?? 0);
    out.data.push(dot(less(field, rest), unit));
    out.fit.push(dot(less(fit, rest), unit));
    out.left.push(dot(less(field, fit), unit));
    out.used.push(trace.used[i] ?? true);
  }
  return out;
}

/** The unit vector along the ground in which a field lies; forward when it has no such part. */
export function alongGround(field_uT: readonly number[]): [number, number, number] {
  const [x = 0, y = 0] = field_uT;
  const size = Math.hypot(x, y);
  return size > 1e-9 ? [x / size, y / size, 0] : [1, 0, 0];
}

/** Bounds of most values: a few spikes do not flatten everything else. */
export function roomFor(values: number[], keep: number[], share = 0.995): [number, number] {
  const sorted = values.filter(Number.isFinite).sort((a, b) => a - b);
  if (!sorted.length) return [-1, 1];
  const at = (q: number) => sorted[Math.min(sorted.length - 1, Math.max(0, Math.round(q * (sorted.length - 1))))] ?? 0;
  const low = Math.min(at(1 - share), ...keep, 0);
  const high = Math.max(at(share), ...keep, 0);
  const room = Math.max(high - low, 0.05) * 0.08;
  return [low - room, high + room];
}
