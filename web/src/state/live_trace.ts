// SPDX-License-Identifier: Apache-2.0
// The field of the last two minutes, put together from pieces that overlap; and the lines that are
// drawn of it: each axis less its mean over what is shown.
import type { Trace } from "../api/run";

const kKept_s = 120;
const kBreak_s = 0.55;  // longer between two points: something is missing, and nothing is drawn

/** News take the place of what was known from their first point on. */
export function mergeTrace(kept: Trace | null, news: Trace): Trace {
  const first = news.time_s[0];
  if (!kept || first === undefined) return kept && first === undefined ? { ...kept, to_s: news.to_s } : news;
  const until = kept.time_s.findIndex((t) => t >= first - 1e-6);
  const from = kept.time_s.findIndex((t) => t > news.to_s - kKept_s);
  const begin = from < 0 ? kept.time_s.length : from;
  const end = until < 0 ? kept.time_s.length : until;
  const join = (old: number[], fresh: number[]) => [...old.slice(begin, Math.max(begin, end)), ...fresh];
  const axis = (i: 0 | 1 | 2) => join(kept.field_uT[i], news.field_uT[i]);
  return { to_s: news.to_s, time_s: join(kept.time_s, news.time_s), field_uT: [axis(0), axis(1), axis(2)] };
}

export interface LiveLines {
  /** Runs without a gap: x from 0 (begin) to 1 (now), y in microtesla from the mean. */
  axes: [number, number][][][];
  half_uT: number;  // of the height that is drawn
}

/** A height that seldom changes, so that the drawing stays calm. */
export function heightFor(largest_uT: number): number {
  return [0.5, 1, 2, 5, 10, 20, 50, 100, 200].find((half) => half >= largest_uT) ?? Math.ceil(largest_uT / 100) * 100;
}

export function linesOf(trace: Trace, width_s: number): LiveLines {
  const from_s = trace.to_s - width_s;
  const begin = trace.time_s.findIndex((t) => t >= from_s);
  const times = begin < 0 ? [] : trace.time_s.slice(begin);
  let largest = 0;
  const axes = trace.field_uT.map((all) => {
    const values = begin < 0 ? [] : all.slice(begin);
    const mean = values.reduce((sum, v) => sum + v, 0) / Math.max(1, values.length);
    const runs: [number, number][][] = [];
    let last = -Infinity;
    values.forEach((value, i) => {
      const t = times[i] ?? 0;
      if (t - last > kBreak_s) runs.push([]);
      last = t;
      largest = Math.max(largest, Math.abs(value - mean));
      runs[runs.length - 1]?.push([(t - from_s) / width_s, value - mean]);
    });
    return runs;
  });
  return { axes, half_uT: heightFor(largest) };
}
