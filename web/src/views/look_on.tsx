// SPDX-License-Identifier: Apache-2.0
// For the helper at the wing tip: which device, and what it does, larger than life. Nothing to press.
import { useEffect } from "preact/hooks";
import type { Shown } from "../state/after_taps";
import { keepAwake } from "../state/awake";
import { downSince_ms, follow, link, second, shown } from "../state/live";
import { linkTrouble } from "../words/live_words";
import { NoRun } from "./cockpit_ends";

/** What is going on, in one or two words. */
export function stateWords(run: Shown): string {
  if (run.phase === "over") return run.stopped ? "Stopped" : "All done";
  if (run.paused) return "Paused";
  if (run.must_acknowledge) return "Caution first";
  if (run.phase === "ask") return "Now";
  return run.device ? "Stays as it is" : "Everything rests";
}

const turns: Record<string, string> = { cw: "clockwise", ccw: "counter-clockwise" };

/** What is in hand, and where to. */
function inHand(run: Shown): { name: string; state: string } {
  if (run.phase === "over") return { name: "", state: "" };
  if (run.procedure !== "swing") return { name: run.device, state: run.state };
  const [station = "", , loads = ""] = run.number && !run.main ? run.number.state.split(" ") : [];
  return run.number && !run.main ? { name: run.number.device, state: `on ${station}${loads ? `, loads ${loads}` : ""}` } : { name: run.device, state: turns[run.state] ?? run.state };
}

const longestWord = (text: string) => Math.max(5, ...text.split(/\s+/).map((word) => word.length));

export function LookOn({ run }: { run: Shown }) {
  const down = link.value !== "up" && downSince_ms.value !== null && second.value >= 0;
  const { name, state } = inHand(run);
  const large = name || (run.phase === "over" ? "" : "Rest");
  return (
    <main class="lookon" id="main">
      <p class="kicker"><b>{stateWords(run)}</b> · step {run.step} of {run.steps}</p>
      <h1 style={{ "--longest": longestWord(large), "--lines": Math.ceil(large.length / 12) }}>{large || stateWords(run)}</h1>
      {name && state && <p class="lookstate" style={{ "--longest": longestWord(state) }}>{state}</p>}
      {run.caution && <p class="cautionbox">{run.caution}</p>}
      <p class="looknext">{down ? "The link is down: this may be old." : run.next ? `Next: ${run.next}` : linkTrouble(run.links)}</p>
      <p class="unseen" aria-live="polite">{`${stateWords(run)}: ${name} ${state}`}</p>
    </main>
  );
}

/** The same view at an address of its own, whoever opens it. */
export function LookOnPage() {
  useEffect(() => {
    const ends = [follow(), keepAwake()];
    return () => ends.forEach((end) => end());
  }, []);
  useEffect(() => { document.title = "Looking on · Quietnorth"; }, []);
  return shown.value ? <LookOn run={shown.value} /> : <NoRun />;
}
