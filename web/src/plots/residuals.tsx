// SPDX-License-Identifier: Apache-2.0
// What the fit leaves, over time: bars from zero; what did not fit is dashed in the doubtful ink; a
// bar that is too tall is cut at the frame.
import type { Residual } from "../api/fit_document";
import { clock, count, fixed } from "../words/figures";
import { AsTable, Edge, lengths, Stretch, W } from "./parts";
import { clockStep, decimalsOf, marks, roundStep } from "./scale";

const HEIGHT = 96;

export function Residuals({ residuals, sigma }: { residuals: Residual[]; sigma: number }) {
  const first = residuals[0];
  const last = residuals[residuals.length - 1];
  if (!first || !last || last.time_s <= first.time_s) return null;
  const used = residuals.filter((r) => r.used);
  const left = residuals.filter((r) => !r.used);
  const most = Math.max(4 * sigma, 1e-6) * 1.1;
  const every = clockStep(last.time_s - first.time_s, 8);
  const start = first.time_s < every / 50 ? 0 : first.time_s;
  const x = (t: number) => ((t - start) / (last.time_s - start)) * W;
  const y = (uT: number) => HEIGHT / 2 - Math.max(-1, Math.min(1, uT / most)) * (HEIGHT / 2 - 2);
  const bars = (list: Residual[]) => list.map((r) => `M${x(r.time_s).toFixed(1)} ${HEIGHT / 2}V${y(r.residual_uT).toFixed(1)}`).join("");
  const tallest = residuals.reduce((a, b) => (Math.abs(b.residual_uT) > Math.abs(a.residual_uT) ? b : a), first);
  const step = roundStep(2 * most, 6);
  const at = (t: number) => (x(t) / W) * 100;
  const byTime = [...residuals].sort((a, b) => Math.abs(b.residual_uT) - Math.abs(a.residual_uT)).slice(0, 20).sort((a, b) => a.time_s - b.time_s);
  const cut = Math.abs(tallest.residual_uT) > most;
  return (
    <>
      <figure class="plot with-edge">
        <svg width="100%" height={HEIGHT} role="img" aria-label={`What the fit leaves over time, in microtesla: noise of ${fixed(sigma, 2)}; ${left.length} of ${residuals.length} samples drawn did not fit.`}>
          {marks(-most, most, step).map((value) => <text x="-7" y={y(value) + 4.5} text-anchor="end">{fixed(value, decimalsOf(step))}</text>)}
          <Stretch height={HEIGHT}>
            {marks(-most, most, step).map((value) => <line class="grid" x1="0" x2={W} y1={y(value)} y2={y(value)} />)}
            <path class="leaves" d={bars(used)} />
            <path class="misfit" d={bars(left)} />
            <line class="frame" x1="0" x2={W} y1={HEIGHT / 2} y2={HEIGHT / 2} />
          </Stretch>
          {cut && <text class="qt halo" x={`${at(tallest.time_s)}%`} dx={at(tallest.time_s) > 80 ? -8 : 8} y={tallest.residual_uT > 0 ? 12 : HEIGHT - 4} text-anchor={at(tallest.time_s) > 80 ? "end" : "start"}>up to {fixed(tallest.residual_uT, 1)}{left.length > 0 ? ", left out" : ""}</text>}
          <Edge at={lengths(start, last.time_s, every)} y={HEIGHT} />
          {marks(start, last.time_s, every * 2).map((t) => <text x={`${at(t)}%`} y={HEIGHT + 21} text-anchor={at(t) < 3 ? "start" : at(t) > 97 ? "end" : "middle"}>{clock(t, every)}</text>)}
          <text x="50%" y={HEIGHT + 39} text-anchor="middle">time, minutes and seconds</text>
        </svg>
      </figure>
      <AsTable title={`The ${count(byTime.length)} largest as a table`} head={["time", "left, µT", "used"]}
        rows={byTime.map((r) => [clock(r.time_s, 0.1), fixed(r.residual_uT, 2), r.used ? "yes" : "no, left out"])} />
    </>
  );
}
