// SPDX-License-Identifier: Apache-2.0
// The recording of a run: the field without its drift in thin ink, the fit in thick green over it,
// on-times shaded, what is unexplained in brackets, and below what the fit leaves.
import type { ComponentChildren } from "preact";
import type { DisturbanceDocument } from "../api/disturbance_document";
import type { MarkNow } from "../api/types";
import { clock, fixed } from "../words/figures";
import { letter } from "../words/run_words";
import { Edge, lengths, Stretch, W } from "./parts";
import { linesAlong, roomFor } from "./run_lines";
import { clockStep, decimalsOf, marks, roundStep } from "./scale";

export interface Panel {
  name: string;
  unit: readonly number[];
}

interface OnTime {
  from_s: number;
  to_s: number;
  sign: string;
  set: boolean;
}

export function onTimes(document: DisturbanceDocument, only: string | null): OnTime[] {
  return document.devices.flatMap((device, i) => (only && device.name !== only ? [] : device.states.flatMap((state) =>
    state.visits.filter((v) => v.to_s > v.from_s).map((v) => ({ from_s: v.from_s, to_s: v.to_s, sign: String(i + 1), set: v.used })))));
}

/** When everything, or a phase's set, was on at once: by its marks, as no device stands for it. */
export function setTimes(marks: MarkNow[]): OnTime[] {
  const sets = marks.filter((mark) => mark.device === "*" || mark.device.startsWith("phase:"));
  return sets.filter((mark) => mark.state === "1").flatMap((mark) => {
    const back = sets.filter((other) => other.device === mark.device && other.state === "0" && other.time_s > mark.time_s)
      .reduce<MarkNow | null>((first, other) => (!first || other.time_s < first.time_s ? other : first), null);
    return back ? [{ from_s: mark.time_s, to_s: back.time_s, sign: mark.device === "*" ? "all" : mark.device.slice(6), set: true }] : [];
  });
}

const LANE = 18;

export function RunPlot({ document, panels, from_s, to_s, height, left = 40, only = null, sets = [], brackets = [], room, label, below = true, children }: {
  document: DisturbanceDocument; panels: Panel[]; from_s: number; to_s: number; height: number; left?: number;
  only?: string | null; sets?: OnTime[]; brackets?: number[]; room?: [number, number]; label: string; below?: boolean; children?: ComponentChildren;
}) {
  const width = Math.max(to_s - from_s, 1e-6);
  const x = (t: number) => ((t - from_s) / width) * W;
  const pct = (t: number) => Math.min(100, Math.max(0, ((t - from_s) / width) * 100));
  const on = [...onTimes(document, only), ...sets].filter((v) => v.to_s > from_s && v.from_s < to_s);
  const top = LANE + (brackets.length ? LANE : 0);
  const gap = 20;
  const drawn = panels.map((panel, i) => {
    const lines = linesAlong(document.trace, panel.unit, from_s, to_s);
    const [low, high] = room ?? roomFor(lines.data, lines.fit);
    const at = top + i * (height + gap);
    const y = (v: number) => at + height - ((Math.min(high, Math.max(low, v)) - low) / (high - low)) * height;
    return { panel, lines, low, high, at, y };
  });
  const residualTop = top + panels.length * (height + gap) + 6;
  const total = below ? residualTop + left : residualTop - gap - 6;
  const leaves = drawn[0]?.lines.left ?? [];
  const noise = document.noise.white_uT;
  const used = leaves.filter((_, i) => drawn[0]?.lines.used[i]);
  const most = Math.max(3 * noise, roomFor(used, [], 0.98)[1], -roomFor(used, [], 0.98)[0], 0.02);
  const line = (times: number[], values: number[], y: (v: number) => number, keep?: boolean[]) => {
    let pen = false;
    return times.map((t, i) => {
      // A pause in the recording is a gap in the line.
      const gone = i > 0 && t - (times[i - 1] ?? t) > 6 * Math.max(width / times.length, 0.05);
      const drawnHere = !keep || keep[i];
      const part = drawnHere ? `${pen && !gone ? "L" : "M"}${x(t).toFixed(1)} ${y(values[i] ?? 0).toFixed(1)}` : "";
      pen = Boolean(drawnHere);
      return part;
    }).join("");
  };
  const every = clockStep(width, width > 200 ? 8 : 4);
  const zero = residualTop + left / 2;
  return (
    <figure class="plot with-edge runplot">
      <svg width="100%" height={total} role="img" aria-label={label}>
        <Stretch height={total}>
          {on.map((v) => <rect class={v.set ? "on" : "on aside"} x={x(v.from_s)} width={x(v.to_s) - x(v.from_s)} y={top - LANE} height={total - top + LANE} />)}
          {drawn.map(({ lines, low, high, y, at }) => (
            <>
              {marks(low, high, roundStep(high - low, 4)).map((value) => <line class={`grid ${value === 0 ? "zero" : ""}`} x1="0" x2={W} y1={y(value)} y2={y(value)} />)}
              <path class="data" d={line(lines.time_s, lines.data, y)} />
              <path class="fitted" d={line(lines.time_s, lines.fit, y)} />
              <line class="frame" x1="0" x2="0" y1={at} y2={at + height} />
            </>
          ))}
          {below && drawn[0] && (
            <>
              <line class="frame" x1="0" x2={W} y1={zero} y2={zero} />
              <path class="leaves" d={drawn[0].lines.time_s.map((t, i) => `M${x(t).toFixed(1)} ${zero}V${(zero - Math.max(-1, Math.min(1, (leaves[i] ?? 0) / most)) * (left / 2)).toFixed(1)}`).join("")} />
            </>
          )}
        </Stretch>
        {signs(on, pct).map(({ at, sign, far }) => <text class={far ? "strong" : "strong wide"} x={`${at}%`} y={top - 5} text-anchor="middle">{sign}</text>)}
        {brackets.map((index) => {
          const thing = document.unexplained[index];
          if (!thing || thing.to_s < from_s || thing.from_s > to_s) return null;
          const [a, b] = [pct(thing.from_s), Math.max(pct(thing.to_s), pct(thing.from_s) + 0.4)];
          return (
            <>
              <svg x={`${a}%`} y={LANE - 7} width={`${b - a}%`} height="7" viewBox="0 0 100 7" preserveAspectRatio="none" overflow="visible"><path class="un" d="M0 7V1H100V7" /></svg>
              <text class="unt" x={`${(a + b) / 2}%`} y={LANE - 9} text-anchor="middle">{letter(index)}</text>
            </>
          );
        })}
        {drawn.map(({ panel, low, high, y, at }) => {
          const step = roundStep(high - low, 4);
          return (
            <>
              {marks(low, high, step).map((value) => <text x="-7" y={y(value) + 4.5} text-anchor="end">{fixed(value, decimalsOf(step))}</text>)}
              <text class="strong halo" x="4" y={at + 13}>{panel.name}</text>
            </>
          );
        })}
        {below && (
          <>
            <text x="-7" y={residualTop + 9} text-anchor="end">{fixed(most, decimalsOf(most) + 1)}</text>
            <text x="-7" y={zero + 4.5} text-anchor="end">0</text>
            <text class="halo" x="4" y={residualTop - 4}>what the fit leaves</text>
          </>
        )}
        <Edge at={lengths(from_s, to_s, every)} y={total} />
        {marks(from_s, to_s, every).map((t, i, all) => {
          const at = pct(t);
          const odd = i % 2 === 1 && all.length > 4;
          return <text class={odd ? "wide" : ""} x={`${at}%`} y={total + 21} text-anchor={at < 3 ? "start" : at > 97 ? "end" : "middle"}>{clock(t, every)}</text>;
        })}
      </svg>
      {children}
    </figure>
  );
}

/** The devices' numbers over their on-times; of those too near to one another, the first. */
function signs(on: OnTime[], pct: (t: number) => number): { at: number; sign: string; far: boolean }[] {
  const out: { at: number; sign: string; far: boolean }[] = [];
  for (const v of [...on].sort((a, b) => a.from_s - b.from_s)) {
    const at = (pct(v.from_s) + pct(v.to_s)) / 2;
    const last = out[out.length - 1];
    const long = v.sign.length > 2 ? 2.2 : 0;
    if (last && at - last.at < 2.3 + long) continue;
    const lastFar = [...out].reverse().find((one) => one.far);
    out.push({ at, sign: v.sign, far: !lastFar || at - lastFar.at > 6.5 + 4 * long });
  }
  return out;
}
