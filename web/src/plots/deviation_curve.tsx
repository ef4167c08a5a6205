// SPDX-License-Identifier: Apache-2.0
// Deviation over the indicated heading: the curve in its 95 % band, a ring for what each leg or reading says,
// the limit on both sides.
import type { DeviationPoint } from "../api/deviation_document";
import { signed } from "../words/air_words";
import { degrees, fixed, heading } from "../words/figures";
import { AsTable, HeadingEdge, Stretch, W } from "./parts";
import { decimalsOf, marks, roundStep } from "./scale";

const HEIGHT = 230;

/** What one leg or one reading says. */
export interface Seen {
  indicated_deg: number;
  deviation_deg: number;
  /** It does not agree with the others: named beside its dashed ring. */
  odd: string;
  /** Turning the other way. */
  back?: boolean;
}

export function DeviationCurve({ curve, seen: all, limit, worst }: {
  curve: DeviationPoint[]; seen: Seen[]; limit: number | null; worst: { deviation_deg: number; at_deg: number } | null;
}) {
  const first = curve[0];
  if (!first) return null;
  const points = [...curve, { ...first, indicated_deg: 360 }];
  const seen = [...points.flatMap((p) => [p.lo, p.hi]), ...all.map((one) => one.deviation_deg)].map(Math.abs);
  // A band of half a turn would leave the curve as a line along zero: then it is cut at the frame.
  const reach = Math.max(...points.map((p) => Math.abs(p.deviation_deg)), limit ?? 0, 0.5);
  const most = Math.min(Math.max(...seen, limit ?? 0), 4 * reach) * 1.1;
  const y = (deg: number) => HEIGHT / 2 - (Math.max(-most, Math.min(most, deg)) / most) * (HEIGHT / 2 - 4);
  const x = (deg: number) => ((deg / 360) * W).toFixed(1);
  const along = (pick: (p: (typeof points)[number]) => number, list = points) => list.map((p) => `${x(p.indicated_deg)} ${y(pick(p)).toFixed(1)}`).join("L");
  const step = roundStep(2 * most, 6);
  // The limit's name stands where no ring does, and above its line where the axis is close below it.
  const under = y(-(limit ?? 0)) + 15;
  const named = under > HEIGHT - 2 ? under - 21 : under;
  const crowded = all.some((one) => one.indicated_deg > 265 && Math.abs(y(one.deviation_deg) - named + 5) < 20);
  const side = crowded ? { x: "1%", "text-anchor": "start" as const } : { x: "100%", "text-anchor": "end" as const };
  const largest = worst ? ` Largest ${degrees(worst.deviation_deg)} on ${heading(worst.at_deg)}.` : "";
  return (
    <>
      <figure class="plot with-edge">
        <svg width="100%" height={HEIGHT} role="img" aria-label={`Deviation over the indicated heading with its 95 % band.${largest}`}>
          {marks(-most, most, step).map((value) => <text x="-7" y={y(value) + 4.5} text-anchor="end">{fixed(value, decimalsOf(step))}°</text>)}
          <Stretch height={HEIGHT}>
            {marks(-most, most, step).map((value) => <line class={`grid ${value === 0 ? "zero" : ""}`} x1="0" x2={W} y1={y(value)} y2={y(value)} />)}
            <path class="bd fit" d={`M${along((p) => p.hi)}L${along((p) => p.lo, [...points].reverse())}Z`} />
            {limit !== null && limit <= most && [limit, -limit].map((value) => <line class="limit" x1="0" x2={W} y1={y(value)} y2={y(value)} />)}
            <path class="ln fit" d={`M${along((p) => p.deviation_deg)}`} />
          </Stretch>
          {limit !== null && limit <= most && <text class="strong halo" {...side} y={named}>limit ±{degrees(limit)}</text>}
          {all.map((one) => <circle class={`reading ${one.odd ? "odd" : ""} ${one.back ? "back" : ""}`} cx={`${(one.indicated_deg / 360) * 100}%`} cy={y(one.deviation_deg)} r={one.odd ? 6 : 4.5} />)}
          {all.filter((one) => one.odd).map((one) => <text class="qt halo" x={`${(one.indicated_deg / 360) * 100}%`} dx={one.indicated_deg > 300 ? -11 : 11} y={y(one.deviation_deg) + 4.5} text-anchor={one.indicated_deg > 300 ? "end" : "start"}>{one.odd}</text>)}
          <HeadingEdge y={HEIGHT} words={false} />
          <text x="50%" y={HEIGHT + 39} text-anchor="middle">indicated heading, degrees</text>
        </svg>
      </figure>
      <AsTable title="This curve as a table" head={["indicated", "deviation, °", "95 % band"]}
        rows={curve.map((p) => [heading(p.indicated_deg), signed(p.deviation_deg, 1), `${signed(p.lo, 1)} to ${signed(p.hi, 1)}`])} />
    </>
  );
}
