// SPDX-License-Identifier: Apache-2.0
// The view of a disturbance run: bringing it in, and its answer.
import type { Recording } from "../api/types";
import { FieldTrace } from "../plots/field_trace";
import { VerdictMark } from "../plots/marks";
import { Section, Stretch, W } from "../plots/parts";
import { editing, log, outdated, run, type RunAnswer } from "../state/run_session";
import { RunAnswerView } from "./run_answer";
import { RunForm } from "./run_form";
import { Sentence } from "./verdict_words";

/** The outline of the answer: bars against a limit, and steps over time. */
function Outline() {
  const steps = [[40, 110], [180, 250], [330, 380], [470, 540], [610, 680], [760, 810], [890, 950]];
  const tall = [34, 12, 20, 5, 33, 13, 21];
  const line = steps.map(([a, b], i) => `L${a} 40L${a} ${40 - (tall[i] ?? 0)}L${b} ${40 - (tall[i] ?? 0)}L${b} 40`).join("");
  return (
    <div class="outline">
      <p class="small two">Here will stand every device with its heading error in degrees, worst first; what they do together in each phase of flight; what the run cannot explain; and what to cure first.</p>
      <svg width="100%" height="84" aria-hidden="true">
        {[78, 41, 19].map((width, i) => <rect class="ghostly" x="0" y={6 + i * 26} width={`${width}%`} height="13" />)}
        <line class="ghostly" x1="27%" x2="27%" y1="0" y2="84" />
      </svg>
      <svg width="100%" height="60" aria-hidden="true">
        <Stretch height={48}><path class="ghostly" d={`M0 40${line}L${W} 40`} /></Stretch>
        <rect class="ghostly" x="0" y="52" width="100%" height="5" />
      </svg>
    </div>
  );
}

function Empty() {
  return (
    <div class="empty">
      <h1>Work every load in turn while the sensor records, and see what each does to its heading.</h1>
      <p class="two">Stand the aircraft still. Switch each device on and off, at least twice, and write down when. Bring the log, those marks and the list of equipment.</p>
      <p class="two">Or have it led, switch by switch, while the sensor is read: <a href="#/begin">a live run</a>.</p>
      {!log.value && <Outline />}
    </div>
  );
}

function SoFar({ answer }: { answer: RunAnswer }) {
  return (
    <div class="empty">
      <VerdictMark state={outdated.value ? "stale" : answer.document.verdict.state} />
      <h1 class={outdated.value ? "ruled" : ""}><Sentence text={answer.document.sentence} /></h1>
      <p class="two">This is the answer so far. It stays until the run is analysed again.</p>
    </div>
  );
}

function LogTrace({ recording }: { recording: Recording }) {
  return (
    <div class="trace-part">
      <Section title="The recorded field" note={`${recording.unit === "counts" ? "counts" : "µT"} · drawn lowest to highest`}><FieldTrace recording={recording} /></Section>
    </div>
  );
}

export function RunPage() {
  const shown = run.value;
  if (shown && !editing.value) return <RunAnswerView answer={shown} />;
  return <div class="bring">{shown ? <SoFar answer={shown} /> : <Empty />}<RunForm />{log.value && <LogTrace recording={log.value} />}</div>;
}
