// SPDX-License-Identifier: Apache-2.0
import type { Recording } from "../api/types";
import { FieldTrace } from "../plots/field_trace";
import { Inks, VerdictMark } from "../plots/marks";
import { Section, Stretch, W } from "../plots/parts";
import { type Answer, answer, editing, outdated, recording } from "../state/session";
import { editing as runEditing, run } from "../state/run_session";
import { view } from "../state/view";
import { capital } from "../words/figures";
import { AirPage, airTitle } from "./air_page";
import { AirPlanPage } from "./air_plan_page";
import { AnswerView } from "./answer";
import { BeginPage } from "./begin_page";
import { Cockpit } from "./cockpit";
import { Form } from "./form";
import { Framed } from "./frame";
import { LookOnPage } from "./look_on";
import { PairingPage } from "./pairing_page";
import { RunPage } from "./run_page";
import { SwingPage, swingTitle } from "./swing_answer";
import { Sentence } from "./verdict_words";

/** The outline of the answer: bars against a limit, and the error over heading. */
function Outline() {
  const wave = Array.from({ length: 73 }, (_, i) => `${(i / 72) * W} ${(46 - 30 * Math.sin((i / 72) * 2 * Math.PI + 0.6) - 9 * Math.sin((i / 72) * 4 * Math.PI)).toFixed(1)}`).join("L");
  return (
    <div class="outline">
      <p class="small two">Here will stand the worst error in degrees, now and with the correction; the error on every heading; what the recording cannot show; and what to do next.</p>
      <svg width="100%" height="84" aria-hidden="true">
        {[78, 21, 30].map((width, i) => <rect class="ghostly" x="0" y={6 + i * 26} width={`${width}%`} height="13" />)}
        <line class="ghostly" x1="34%" x2="34%" y1="0" y2="84" />
      </svg>
      <svg width="100%" height="104" aria-hidden="true">
        <Stretch height={92}><path class="ghostly" d={`M${wave}`} /><line class="ghostly" x1="0" x2={W} y1="46" y2="46" /></Stretch>
        <rect class="ghostly" x="0" y="96" width="100%" height="5" />
      </svg>
    </div>
  );
}

/** What will stand here, before there is anything. */
function Empty() {
  return (
    <div class="empty">
      <h1>Bring a recording of the sensor, and see how far its heading can be trusted.</h1>
      <p class="two">Turn the aircraft, or the sensor, through as many headings as you can while it records. Then say where and when that was.</p>
      {!recording.value && <Outline />}
    </div>
  );
}

function Seen({ recording: seen }: { recording: Recording }) {
  return (
    <div class="trace-part">
      <Section title="The recorded field" note={`${seen.unit === "counts" ? "counts" : "µT"} · drawn lowest to highest`}><FieldTrace recording={seen} /></Section>
    </div>
  );
}

function SoFar({ answer }: { answer: Answer }) {
  return (
    <div class="empty">
      <VerdictMark state={outdated.value ? "stale" : answer.document.verdict.state} />
      <h1 class={outdated.value ? "ruled" : ""}><Sentence text={answer.document.sentence} /></h1>
      <p class="two">This is the answer so far. It stays until the recording is solved again.</p>
    </div>
  );
}

function SensorPage() {
  const shown = answer.value;
  if (shown && !editing.value) return <AnswerView answer={shown} />;
  return <div class="bring">{shown ? <SoFar answer={shown} /> : <Empty />}<Form />{recording.value && <Seen recording={recording.value} />}</div>;
}

/** What the window is called: the verdict when there is an answer in sight. */
function titleOf(): string {
  if (view.value === "begin") return "A live run · Quietnorth";
  if (view.value === "air") return airTitle();
  if (view.value === "air-plan") return "The legs to fly · Quietnorth";
  if (view.value === "swing") return swingTitle();
  if (view.value === "pairing") return "Other devices · Quietnorth";
  const sensor = view.value === "sensor";
  const shown = sensor ? (editing.value ? null : answer.value) : runEditing.value ? null : run.value;
  if (shown) return `${capital(shown.document.verdict.state)}: ${shown.recording.name} · Quietnorth`;
  return `${sensor ? "Bring in a recording" : "Bring in a disturbance run"} · Quietnorth`;
}

function Shown() {
  switch (view.value) {
    case "air": return <AirPage />;
    case "air-plan": return <AirPlanPage />;
    case "swing": return <SwingPage />;
    case "begin": return <BeginPage />;
    case "pairing": return <PairingPage />;
    case "disturbance": return <RunPage />;
    default: return <SensorPage />;
  }
}

function Sheet() {
  return <Framed title={titleOf()}><Shown /></Framed>;
}

export function Page() {
  return (
    <>
      <Inks />
      {view.value === "cockpit" ? <Cockpit /> : view.value === "look-on" ? <LookOnPage /> : <Sheet />}
    </>
  );
}
