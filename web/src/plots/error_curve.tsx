// SPDX-License-Identifier: Apache-2.0
// Heading error over heading: before, dashed, with its band; after as a band. A second, larger
// drawing of the band alone where the first would show it as a line.
import type { CurvePoint, FitDocument } from "../api/fit_document";
import { degrees, fixed, heading } from "../words/figures";
import { AsTable, HeadingEdge, Stretch, W } from "./parts";
import { decimalsOf, marks, roundStep } from "./scale";

type Pick = (point: CurvePoint) => number;

/** An error that runs over half a turn comes back on the other side: no line joins the two. */
function runs(points: CurvePoint[], pick: Pick): CurvePoint[][] {
  const out: CurvePoint[][] = [];
  points.forEach((point, i) => {
    const before = points[i - 1];
    if (!before || Math.abs(pick(point) - pick(before)) > 180) out.push([]);
    out[out.length - 1]?.push(point);
  });
  return out;
}

function Panel({ points, height, most, limit, withBefore, label, last }: {
  points: CurvePoint[]; height: number; most: number; limit: number | null; withBefore: boolean; label: string; last: boolean;
}) {
  const y = (deg: number) => height / 2 - (deg / most) * (height / 2 - 4);
  const x = (deg: number) => (deg / 360) * W;
  const along = (run: CurvePoint[], pick: Pick) => run.map((p) => `${x(p.heading_deg).toFixed(1)} ${y(pick(p)).toFixed(1)}`).join("L");
  const line = (pick: Pick, jumps: Pick = pick) => runs(points, jumps).map((run) => `M${along(run, pick)}`).join("");
  const area = (low: Pick, high: Pick, jumps: Pick = low) =>
    runs(points, jumps).map((run) => `M${along(run, high)}L${along([...run].reverse(), low)}Z`).join("");
  const step = roundStep(2 * most, 6);
  const worst = points.reduce((a, b) => (Math.abs(b.before_deg) > Math.abs(a.before_deg) ? b : a));
  const side = worst.heading_deg > 270 ? "end" : worst.heading_deg < 60 ? "start" : "middle";
  const limitShown = limit !== null && limit <= most;
  return (
    <figure class={`plot ${last ? "with-edge" : "short-edge"}`}>
      <svg width="100%" height={height} role="img" aria-label={label}>
        {marks(-most, most, step).map((value) => <text x="-7" y={y(value) + 4.5} text-anchor="end">{fixed(value, decimalsOf(step))}°</text>)}
        <Stretch height={height}>
          {marks(-most, most, step).map((value) => <line class={`grid ${value === 0 ? "zero" : ""}`} x1="0" x2={W} y1={y(value)} y2={y(value)} />)}
          {withBefore && <path class="bd before" d={area((p) => p.before_95_deg[0], (p) => p.before_95_deg[1], (p) => p.before_deg)} />}
          <path class="bd after" d={area((p) => p.after_95_deg[0], (p) => p.after_95_deg[1])} />
          <path class="edge" d={line((p) => p.after_95_deg[1]) + line((p) => p.after_95_deg[0])} />
          {withBefore && <path class="data dashed" d={line((p) => p.before_deg)} />}
          {limitShown && [limit, -limit].map((value) => <line class="limit" x1="0" x2={W} y1={y(value)} y2={y(value)} />)}
        </Stretch>
        {withBefore && (
          <text class="strong halo" x={`${(worst.heading_deg / 360) * 100}%`} text-anchor={side}
            y={worst.before_deg > 0 ? Math.max(13, y(worst.before_95_deg[1]) - 6) : Math.min(height - 4, y(worst.before_95_deg[0]) + 15)}>as it is now</text>
        )}
        {!withBefore && <text class="fitword halo" x="6" y={height - 7}>with the correction, 95 % band</text>}
        {limitShown && <text class="strong halo" x="100%" y={y(limit) - 5} text-anchor="end">limit ±{degrees(limit)}</text>}
        <HeadingEdge y={height} words={last} />
      </svg>
    </figure>
  );
}

export function ErrorCurve({ fit }: { fit: FitDocument }) {
  const given = fit.curve ?? [];
  const first = given[0];
  if (!first) return null;
  const points = [...given, { ...first, heading_deg: 360 }];
  const limit = fit.verdict.limit_deg;
  const mostAfter = Math.max(...points.map((p) => Math.max(Math.abs(p.after_95_deg[0]), Math.abs(p.after_95_deg[1]))));
  const mostBefore = Math.max(...points.map((p) => Math.max(Math.abs(p.before_95_deg[0]), Math.abs(p.before_95_deg[1]))));
  const most = Math.max(mostBefore, mostAfter, limit ?? 0) * 1.12;
  const near = Math.max(mostAfter, limit !== null && limit < 4 * mostAfter ? limit : 0) * 1.4;
  const before = fit.heading_error_before_deg;
  const worst = before ? `As it is now, the error is largest near ${heading(before.at_heading_deg)}, ${degrees(before.worst)}. ` : "";
  const enlarged = most > 2.2 * near;
  return (
    <>
      <Panel points={points} height={220} most={most} limit={limit} withBefore last={!enlarged}
        label={`Heading error over magnetic heading. ${worst}With the correction it lies between ${degrees(-mostAfter)} and ${degrees(mostAfter)} everywhere.`} />
      {enlarged && (
        <>
          <p class="axis larger">The corrected heading alone, drawn larger</p>
          <Panel points={points} height={150} most={near} limit={limit} withBefore={false} last
            label={`The band of the corrected heading's error alone: at most ${degrees(mostAfter)} on any heading.`} />
        </>
      )}
      <AsTable title="This curve as a table" head={["heading", "now", "now, band", "corrected, band"]}
        rows={given.map((p) => [heading(p.heading_deg), fixed(p.before_deg, 2), `${fixed(p.before_95_deg[0], 2)} to ${fixed(p.before_95_deg[1], 2)}`, `${fixed(p.after_95_deg[0], 2)} to ${fixed(p.after_95_deg[1], 2)}`])} />
    </>
  );
}
