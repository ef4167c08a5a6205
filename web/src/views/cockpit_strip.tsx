// SPDX-License-Identifier: Apache-2.0
// The strip at the top: where the run is, and the two targets that never move.
import type { Shown } from "../state/after_taps";
import { answer } from "../state/live";
import { timeLeft } from "../words/live_words";
import { Target } from "./live_target";

export function Strip({ run }: { run: Shown }) {
  const over = run.phase === "over";
  const steps = Math.max(1, run.steps);
  const width = `${100 / steps}%`;
  const kind = (i: number) => (!over && i === run.step - 1 ? "now" : run.done[i] ? "tick-a" : "tick-b");
  const left = over ? (run.stopped ? "stopped" : "all done") : timeLeft(run.least_left_s, run.most_left_s);
  return (
    <header class="strip">
      <p><b>Step {run.step} of {run.steps}</b><span>{run.paused ? "paused" : left}</span></p>
      <Target class="choice pause" disabled={over || run.paused} act={(moment) => answer({ kind: "pause", moment })}>Pause</Target>
      <Target class="choice stop" disabled={over} act={(moment) => answer({ kind: "stop", moment })}>Stop</Target>
      <svg class="bar" width="100%" height="13" aria-hidden="true">
        {Array.from({ length: steps }, (_, i) => (
          <rect class={`scale ${kind(i)}`} x={`${(i / steps) * 100}%`} y={kind(i) === "now" ? 0.75 : 3} width={width} height={kind(i) === "now" ? 11.5 : 7} />
        ))}
      </svg>
    </header>
  );
}
