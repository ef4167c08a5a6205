// SPDX-License-Identifier: Apache-2.0
// The deviation of one compass as its readings form it: small and calm, below what is asked.
import type { RunSwingCompass } from "../api/run";
import { degrees, fixed, heading } from "../words/figures";
import { swingWords } from "../words/live_words";
import { HeadingEdge, Stretch, W } from "./parts";
import { decimalsOf, marks, roundStep } from "./scale";

const kLeast_deg = 4;
const kWidest_deg = 15;  // an early band is as wide as the sky; the readings decide the frame

/** Half of the frame's height, degrees. */
export function frameOf(compass: RunSwingCompass): number {
  const readings = compass.readings.map((r) => Math.abs(r.deviation_deg));
  const band = compass.curve.map((p) => Math.max(Math.abs(p.lo), Math.abs(p.hi)));
  return 1.15 * Math.max(kLeast_deg, ...readings, Math.min(kWidest_deg, Math.max(0, ...band)));
}

export function SwingCurve({ compass, height }: { compass: RunSwingCompass; height: number }) {
  const most = frameOf(compass);
  const step = roundStep(2 * most, height > 140 ? 6 : 3);
  // What is beyond the frame ends at it: an early band would cover the keys above.
  const y = (deg: number) => height / 2 - (Math.max(-most, Math.min(most, deg)) / most) * (height / 2 - 3);
  const x = (deg: number) => (deg / 360) * W;
  const first = compass.curve[0];
  const points = first ? [...compass.curve, { ...first, indicated_deg: 360 }] : [];
  const along = (list: typeof points, pick: (p: typeof points[number]) => number) => list.map((p) => `${x(p.indicated_deg).toFixed(1)} ${y(pick(p)).toFixed(1)}`).join("L");
  const limit = compass.limit_deg && compass.limit_deg <= most ? compass.limit_deg : null;
  const words = swingWords(compass);
  const doubtful = compass.readings.filter((r) => r.doubtful).map((r) => heading(r.station_deg));
  return (
    <figure class="swingcurve">
      <div class="plot short-edge">
        <svg width="100%" height={height} role="img" aria-label={`Deviation over indicated heading. ${words}${doubtful.length ? ` Doubtful: the reading on ${doubtful.join(", ")}.` : ""}`}>
          {marks(-most, most, step).map((value) => <text x="-7" y={y(value) + 4.5} text-anchor="end">{fixed(value, decimalsOf(step))}°</text>)}
          <Stretch height={height}>
            {marks(-most, most, step).map((value) => <line class={`grid ${value === 0 ? "zero" : ""}`} x1="0" x2={W} y1={y(value)} y2={y(value)} />)}
            {points.length > 0 && <path class="bd after" d={`M${along(points, (p) => p.hi)}L${along([...points].reverse(), (p) => p.lo)}Z`} />}
            {points.length > 0 && <path class="fitted" d={`M${along(points, (p) => p.deviation_deg)}`} />}
            {limit && [limit, -limit].map((value) => <line class="limit" x1="0" x2={W} y1={y(value)} y2={y(value)} />)}
          </Stretch>
          {limit && <text class="strong halo" x="100%" y={y(limit) + 15} text-anchor="end">limit ±{degrees(limit)}</text>}
          {compass.readings.map((r) => {
            const at = `${(r.indicated_deg / 360) * 100}%`;
            const up = y(r.deviation_deg);
            return (
              <>
                <circle class={`read ${r.visit.includes(" ccw") ? "back" : ""}`} cx={at} cy={up} r="4" />
                {r.doubtful && <circle class="misfit" cx={at} cy={up} r="9" />}
              </>
            );
          })}
          <HeadingEdge y={height} words={false} />
        </svg>
      </div>
      <figcaption class="axis">{words}</figcaption>
    </figure>
  );
}
