// SPDX-License-Identifier: Apache-2.0
// Deviation over the indicated heading: the curve in its 95 % band, a ring for what each leg says,
// the limit on both sides.
import type { AirDocument } from "../api/air_document";
import { signed } from "../words/air_words";
import { degrees, fixed, heading } from "../words/figures";
import { AsTable, HeadingEdge, Stretch, W } from "./parts";
import { decimalsOf, marks, roundStep } from "./scale";
import { numbered } from "./velocity_places";

const HEIGHT = 230;

export function DeviationCurve({ document }: { document: AirDocument }) {
  const first = document.curve[0];
  if (!first) return null;
  const points = [...document.curve, { ...first, indicated_deg: 360 }];
  const limit = document.verdict.limit_deg;
  const legs = numbered(document).flatMap((one) => {
    const { indicated_deg, observed_deviation_deg } = one.leg;
    return typeof indicated_deg === "number" && typeof observed_deviation_deg === "number" ? [{ ...one, indicated_deg, observed_deviation_deg }] : [];
  });
  const seen = [...points.flatMap((p) => [p.lo, p.hi]), ...legs.map((one) => one.observed_deviation_deg)].map(Math.abs);
  // A band of half a turn would leave the curve as a line along zero: then it is cut at the frame.
  const reach = Math.max(...points.map((p) => Math.abs(p.deviation_deg)), limit ?? 0, 0.5);
  const most = Math.min(Math.max(...seen, limit ?? 0), 4 * reach) * 1.1;
  const y = (deg: number) => HEIGHT / 2 - (Math.max(-most, Math.min(most, deg)) / most) * (HEIGHT / 2 - 4);
  const x = (deg: number) => ((deg / 360) * W).toFixed(1);
  const along = (pick: (p: (typeof points)[number]) => number, list = points) => list.map((p) => `${x(p.indicated_deg)} ${y(pick(p)).toFixed(1)}`).join("L");
  const step = roundStep(2 * most, 6);
  // The limit's name stands where no ring does.
  const crowded = legs.some((one) => one.indicated_deg > 265 && Math.abs(y(one.observed_deviation_deg) - y(-(limit ?? 0)) - 10) < 20);
  const side = crowded ? { x: "1%", "text-anchor": "start" as const } : { x: "100%", "text-anchor": "end" as const };
  const worst = document.worst_deviation_deg === null ? "" : ` Largest ${degrees(document.worst_deviation_deg)} on ${heading(document.worst_at_deg ?? 0)}.`;
  return (
    <>
      <figure class="plot with-edge">
        <svg width="100%" height={HEIGHT} role="img" aria-label={`Deviation over the indicated heading with its 95 % band.${worst}`}>
          {marks(-most, most, step).map((value) => <text x="-7" y={y(value) + 4.5} text-anchor="end">{fixed(value, decimalsOf(step))}°</text>)}
          <Stretch height={HEIGHT}>
            {marks(-most, most, step).map((value) => <line class={`grid ${value === 0 ? "zero" : ""}`} x1="0" x2={W} y1={y(value)} y2={y(value)} />)}
            <path class="bd fit" d={`M${along((p) => p.hi)}L${along((p) => p.lo, [...points].reverse())}Z`} />
            {limit !== null && limit <= most && [limit, -limit].map((value) => <line class="limit" x1="0" x2={W} y1={y(value)} y2={y(value)} />)}
            <path class="ln fit" d={`M${along((p) => p.deviation_deg)}`} />
          </Stretch>
          {limit !== null && limit <= most && <text class="strong halo" {...side} y={y(-limit) + 15}>limit ±{degrees(limit)}</text>}
          {legs.map((one) => <circle class={`reading ${one.use === "used" ? "" : "odd"}`} cx={`${(one.indicated_deg / 360) * 100}%`} cy={y(one.observed_deviation_deg)} r={one.use === "used" ? 4.5 : 6} />)}
          {legs.filter((one) => one.use !== "used").map((one) => <text class="qt halo" x={`${(one.indicated_deg / 360) * 100}%`} dx={one.indicated_deg > 300 ? -11 : 11} y={y(one.observed_deviation_deg) + 4.5} text-anchor={one.indicated_deg > 300 ? "end" : "start"}>leg {one.name}</text>)}
          <HeadingEdge y={HEIGHT} words={false} />
          <text x="50%" y={HEIGHT + 39} text-anchor="middle">indicated heading, degrees</text>
        </svg>
      </figure>
      <AsTable title="This curve as a table" head={["indicated", "deviation, °", "95 % band"]}
        rows={document.curve.map((p) => [heading(p.indicated_deg), signed(p.deviation_deg, 1), `${signed(p.lo, 1)} to ${signed(p.hi, 1)}`])} />
    </>
  );
}
