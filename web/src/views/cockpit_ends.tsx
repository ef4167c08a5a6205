// SPDX-License-Identifier: Apache-2.0
// Before there is a run, and after it.
import { useEffect } from "preact/hooks";
import type { Shown } from "../state/after_taps";
import { link } from "../state/live";
import { keptCount } from "../state/outbox";
import { keptWords } from "../words/live_words";
import { sentence } from "../words/figures";
import { VerdictMark } from "../plots/marks";
import { openSwing } from "../state/swing_session";
import { Framed } from "./frame";
import { SwingPage, swingTitle } from "./swing_answer";
import type { VerdictState } from "../api/fit_document";

const isVerdict = (word: string): word is VerdictState => ["within", "over", "unproven"].includes(word);

export function Over({ run }: { run: Shown }) {
  const answer = run.answer;
  return (
    <div class="act ended">
      {answer?.state === "working" && <p class="sub" role="status">The answer is being worked out. This page may be closed; it is kept in the book.</p>}
      {answer?.state === "failed" && (
        <div class="notdone bad" role="alert">
          <p class="badge">not done</p>
          <p>{answer.error ? `${sentence(answer.error.what)} ${sentence(answer.error.remedy)}` : "The answer could not be worked out. What was recorded is kept."}</p>
        </div>
      )}
      {answer?.state === "done" && (
        <>
          {isVerdict(answer.verdict) && <VerdictMark state={answer.verdict} />}
          <p class="answerwords">{sentence(answer.sentence)}</p>
          {run.procedure === "swing" ? <p>It is kept as finding {answer.finding} of the book, with the stations it was worked out from.</p>
            : <a class="press" href={`#/${answer.fit_id ? "sensor" : "disturbance"}/${encodeURIComponent(answer.recording_id)}/${encodeURIComponent(answer.fit_id || answer.disturbance_id)}`}>See the whole answer</a>}
        </>
      )}
      <a class="choice" href="#/begin">Another run, or go on with one</a>
    </div>
  );
}

/** The whole answer of a swing, where the run was: nobody has to look for it. */
export function SwingEnd({ id }: { id: string }) {
  useEffect(() => { void openSwing(id); }, [id]);
  return <Framed title={swingTitle()}><SwingPage /></Framed>;
}

const whys = {
  opening: ["Looking for the run.", ""],
  up: ["Looking for the run.", ""],
  none: ["No run is going on.", "This page shows it as soon as one is begun."],
  refused: ["This device is not paired.", "Open this address anew and type the code that the host shows."],
  down: ["The program does not answer.", "It is tried again every few seconds. Is the host awake, and on the same network?"],
  ended: ["The program has ended.", "What was recorded is in the book. Start it again on the host; this page finds it."],
} as const;

export function NoRun() {
  const [words, more] = whys[link.value];
  return (
    <main class="nostage" id="main">
      <h1 class="say" aria-live="polite">{words}</h1>
      <p>{more} {keptCount.value > 0 && keptWords(keptCount.value)}</p>
      <p class="acts"><a class="press" href="#/begin">Begin a run</a><a class="choice" href="#/sensor">Other pages</a></p>
    </main>
  );
}
