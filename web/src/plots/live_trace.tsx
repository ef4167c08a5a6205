// SPDX-License-Identifier: Apache-2.0
// The field of the last minute, small and calm: there to be trusted, not to be watched.
import { useEffect, useState } from "preact/hooks";
import { linesOf } from "../state/live_trace";
import { trace } from "../state/live";
import { fixed } from "../words/figures";
import { Edge, lengths, Stretch, W } from "./parts";

const HEIGHT = 56;
const kWidth_s = 60;
const kEvery_ms = 250;
const dashes = ["", "d2", "d3"];

export function LiveTrace({ note }: { note: string }) {
  const [shown, setShown] = useState(trace.peek());
  useEffect(() => {
    const timer = setInterval(() => setShown(trace.peek()), kEvery_ms);
    return () => clearInterval(timer);
  }, []);
  const lines = shown ? linesOf(shown, kWidth_s) : { axes: [], half_uT: 0.5 };
  const y = (v: number) => (HEIGHT / 2 - (v / lines.half_uT) * (HEIGHT / 2 - 2)).toFixed(1);
  const path = (run: [number, number][]) => run.map(([at, v], i) => `${i ? "L" : "M"}${(at * W).toFixed(1)} ${y(v)}`).join("");
  const half = `${fixed(lines.half_uT, lines.half_uT < 1 ? 1 : 0)} µT`;
  return (
    <figure class="livetrace">
      <div class="liveplot">
        <svg width="100%" height={HEIGHT + 5} role="img" aria-label={`The field of the last ${kWidth_s} s in three axes, each less its mean; the frame is ${half} up and down. ${note}.`}>
          <Stretch height={HEIGHT}>
            <line class="grid zero" x1="0" x2={W} y1={HEIGHT / 2} y2={HEIGHT / 2} />
            {lines.axes.map((runs, i) => runs.map((run) => <path class={`ln live ${dashes[i]}`} d={path(run)} />))}
          </Stretch>
          <Edge at={lengths(0, kWidth_s, 10)} y={HEIGHT} />
        </svg>
      </div>
      <figcaption class="axis">Field less its mean, last {kWidth_s} s, ±{half}: x solid, y dashed, z dotted. {note}.</figcaption>
    </figure>
  );
}
