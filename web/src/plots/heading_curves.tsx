// SPDX-License-Identifier: Apache-2.0
// Heading error over heading: several curves with their bands, told apart by dash and by the word on
// them, against the limit.
import type { CurveAt } from "../api/disturbance_document";
import { degrees, fixed, heading } from "../words/figures";
import { AsTable, HeadingEdge, Stretch, W } from "./parts";
import { decimalsOf, marks, roundStep } from "./scale";

export interface NamedCurve {
  name: string;
  tone: "within" | "over" | "unproven" | "fit" | "was";
  dash?: "d2" | "d3";
  points: CurveAt[];
  banded?: boolean;
}

/** An error that runs over half a turn comes back on the other side: no line joins the two. */
export function runsOf(points: CurveAt[]): CurveAt[][] {
  const out: CurveAt[][] = [];
  points.forEach((point, i) => {
    const before = points[i - 1];
    if (!before || Math.abs(point.error_deg - before.error_deg) > 180) out.push([]);
    out[out.length - 1]?.push(point);
  });
  return out;
}

const around = (points: CurveAt[]): CurveAt[] => (points[0] ? [...points, { ...points[0], heading_deg: 360 }] : []);

interface Label {
  name: string;
  tone: string;
  x: number;
  y: number;
  side: "start" | "middle" | "end";
}

/** A word at each curve's worst heading; those that would lie on one another are moved apart. */
function labelsOf(curves: NamedCurve[], y: (deg: number) => number, height: number, width: number): Label[] {
  const out: Label[] = [];
  for (const { name, tone, points } of curves) {
    const first = points[0];
    if (!first) continue;
    const worst = points.reduce((a, b) => (Math.abs(b.error_deg) > Math.abs(a.error_deg) ? b : a), first);
    const others = [worst, ...points.filter((p) => Math.abs(p.error_deg) > 0.75 * Math.abs(worst.error_deg)), ...points];
    const place = (p: CurveAt): Label => ({
      name, tone, x: p.heading_deg / 360, side: p.heading_deg > 290 ? "end" : p.heading_deg < 70 ? "start" : "middle",
      y: Math.min(height - 4, Math.max(13, y(p.error_deg) + (p.error_deg >= 0 ? -7 : 16))),
    });
    const reach = (l: Label) => (l.name.length * 7) / width;
    const from = (l: Label) => l.x - (l.side === "start" ? 0 : l.side === "end" ? reach(l) : reach(l) / 2);
    const free = (l: Label) => out.every((o) => Math.abs(o.y - l.y) > 15 || from(l) > from(o) + reach(o) || from(o) > from(l) + reach(l));
    out.push(others.map(place).find(free) ?? place(worst));
  }
  return out;
}

export function HeadingCurves({ curves, limit, height = 200, label, title, wide = 380 }: {
  curves: NamedCurve[]; limit: number; height?: number; label: string; title: string; wide?: number;
}) {
  const reach = Math.max(...curves.flatMap((c) => c.points.map((p) => Math.abs(p.error_deg))), 0.05);
  const banded = Math.max(...curves.flatMap((c) => (c.banded === false ? [0] : c.points.map((p) => Math.max(Math.abs(p.error_95_deg[0]), Math.abs(p.error_95_deg[1]))))), 0);
  // A band of half a turn would leave the curves as lines along zero: then it is cut at the frame.
  const most = Math.min(180, Math.max(reach, Math.min(banded, 2.5 * Math.max(reach, limit)), limit) * 1.12);
  const clamp = (deg: number) => Math.max(-most, Math.min(most, deg));
  const y = (deg: number) => height / 2 - (clamp(deg) / most) * (height / 2 - 3);
  const x = (deg: number) => ((deg / 360) * W).toFixed(1);
  const along = (run: CurveAt[], pick: (p: CurveAt) => number) => run.map((p) => `${x(p.heading_deg)} ${y(pick(p)).toFixed(1)}`).join("L");
  const step = roundStep(2 * most, 6);
  const drawn = curves.map((curve) => ({ ...curve, runs: runsOf(around(curve.points)) }));
  const words = labelsOf(curves, y, height, wide);
  return (
    <>
      <figure class="plot with-edge">
        <svg width="100%" height={height} role="img" aria-label={label}>
          {marks(-most, most, step).map((value) => <text x="-7" y={y(value) + 4.5} text-anchor="end">{fixed(value, decimalsOf(step))}°</text>)}
          <Stretch height={height}>
            {marks(-most, most, step).map((value) => <line class={`grid ${value === 0 ? "zero" : ""}`} x1="0" x2={W} y1={y(value)} y2={y(value)} />)}
            {drawn.filter((c) => c.banded !== false).map((c) => (
              <path class={`bd ${c.tone}`} d={c.runs.map((run) => `M${along(run, (p) => p.error_95_deg[1])}L${along([...run].reverse(), (p) => p.error_95_deg[0])}Z`).join("")} />
            ))}
            {[limit, -limit].filter((value) => Math.abs(value) <= most).map((value) => <line class="limit" x1="0" x2={W} y1={y(value)} y2={y(value)} />)}
            {drawn.map((c) => <path class={`ln ${c.tone} ${c.dash ?? ""}`} d={c.runs.map((run) => `M${along(run, (p) => p.error_deg)}`).join("")} />)}
          </Stretch>
          {words.map((word) => <text class={`halo lb ${word.tone}`} x={`${word.x * 100}%`} y={word.y} text-anchor={word.side}>{word.name}</text>)}
          <text class="strong halo" x="100%" y={y(-limit) + 15} text-anchor="end">limit ±{degrees(limit)}</text>
          <HeadingEdge y={height} />
        </svg>
      </figure>
      <AsTable title={title} head={["heading", ...curves.flatMap((c) => [`${c.name}, °`, ...(c.banded === false ? [] : ["95 % band"])])]}
        rows={(curves[0]?.points ?? []).map((p, i) => [heading(p.heading_deg), ...curves.flatMap((c) => {
          const at = c.points[i];
          return at ? [fixed(at.error_deg, 2), ...(c.banded === false ? [] : [`${fixed(at.error_95_deg[0], 2)} to ${fixed(at.error_95_deg[1], 2)}`])] : [""];
        })])} />
    </>
  );
}
