// SPDX-License-Identifier: Apache-2.0
// What each reading leaves: bars from zero at the heading that was shown, on the axis of the curve.
// Readings that were left out are dashed; one too tall is cut at the frame and its value written.
import type { SwingCompassDocument } from "../api/swing_document";
import { signed } from "../words/air_words";
import { fixed, heading } from "../words/figures";
import { AsTable, HeadingEdge, Stretch, W } from "./parts";
import { decimalsOf, marks, roundStep } from "./scale";

const HEIGHT = 84;
const kBeside = 3;  // the other turning direction stands beside the first

export function SwingResiduals({ compass }: { compass: SwingCompassDocument }) {
  const bars = compass.readings.map((seen, i) => ({ seen, left: compass.residuals_deg[i] ?? 0 }));
  if (bars.length === 0 || compass.curve.length === 0) return null;
  const most = 1.15 * Math.max(1, ...bars.filter((bar) => bar.seen.used).map((bar) => Math.abs(bar.left)));
  const y = (deg: number) => HEIGHT / 2 - Math.max(-1, Math.min(1, deg / most)) * (HEIGHT / 2 - 2);
  const x = (bar: (typeof bars)[number]) => (bar.seen.indicated_deg / 360) * W + (bar.seen.turn === "ccw" ? kBeside : bar.seen.turn === "cw" ? -kBeside : 0);
  const drawn = (used: boolean) => bars.filter((bar) => bar.seen.used === used).map((bar) => `M${x(bar).toFixed(1)} ${HEIGHT / 2}V${y(bar.left).toFixed(1)}`).join("");
  const step = roundStep(2 * most, 4);
  return (
    <>
      <figure class="plot with-edge">
        <svg width="100%" height={HEIGHT} role="img" aria-label="What each reading leaves beside the curve, degrees">
          {marks(-most, most, step).map((value) => <text x="-7" y={y(value) + 4.5} text-anchor="end">{fixed(value, decimalsOf(step))}°</text>)}
          <Stretch height={HEIGHT}>
            {marks(-most, most, step).map((value) => <line class={`grid ${value === 0 ? "zero" : ""}`} x1="0" x2={W} y1={y(value)} y2={y(value)} />)}
            <path class="leaves broad" d={drawn(true)} />
            <path class="misfit broad" d={drawn(false)} />
          </Stretch>
          {bars.filter((bar) => Math.abs(bar.left) > most).map((bar) => {
            const right = bar.seen.indicated_deg > 280;
            return <text class="qt halo" x={`${(x(bar) / W) * 100}%`} dx={right ? -8 : 8} y={bar.left > 0 ? 12 : HEIGHT - 4} text-anchor={right ? "end" : "start"}>{signed(bar.left, 1)}°{bar.seen.used ? "" : ", left out"}</text>;
          })}
          <HeadingEdge y={HEIGHT} words={false} />
          <text x="50%" y={HEIGHT + 39} text-anchor="middle">indicated heading, degrees</text>
        </svg>
      </figure>
      <AsTable title="The readings as a table" head={["mark", "read", "deviation, °", "left, °", "used"]}
        rows={bars.map(({ seen, left }) => [heading(seen.station_deg), heading(seen.indicated_deg), signed(seen.deviation_deg, 1), signed(left, 1), seen.used ? "yes" : "no, left out"])} />
    </>
  );
}
