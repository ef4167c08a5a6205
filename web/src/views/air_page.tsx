// SPDX-License-Identifier: Apache-2.0
// The view of the check in the air: bringing the flight in, and its answer.
import { VerdictMark } from "../plots/marks";
import { Stretch, W } from "../plots/parts";
import { air, type AirAnswer, editing, flightFile, outdated, source } from "../state/air_session";
import { mainSentence, safety } from "../words/air_words";
import { capital } from "../words/figures";
import { AirAnswerView } from "./air_answer";
import { AirForm } from "./air_form";
import { Sentence } from "./verdict_words";

/** The outline of the answer: legs round a ring with the wind in it, and a curve over heading. */
function Outline() {
  const wave = Array.from({ length: 73 }, (_, i) => `${(i / 72) * W} ${(46 - 26 * Math.sin((i / 72) * 2 * Math.PI + 0.9) - 10 * Math.sin((i / 72) * 4 * Math.PI)).toFixed(1)}`).join("L");
  const legs = [20, 110, 200, 290].map((deg) => [120 + 70 * Math.sin((deg * Math.PI) / 180), 88 - 70 * Math.cos((deg * Math.PI) / 180)]);
  return (
    <div class="outline">
      <p class="small two">Here will stand the largest deviation in degrees against your limit; wind and airspeed; what each leg says; what the flight cannot prove; and the two legs that would tell most.</p>
      <svg width="100%" height="176" aria-hidden="true">
        <circle class="ghostly" cx="120" cy="88" r="70" />
        {legs.map(([x = 0, y = 0]) => <><line class="ghostly" x1="104" y1="102" x2={x} y2={y} /><circle class="ghostly" cx={x} cy={y} r="5" /></>)}
      </svg>
      <svg width="100%" height="104" aria-hidden="true">
        <Stretch height={92}><path class="ghostly" d={`M${wave}`} /><line class="ghostly" x1="0" x2={W} y1="46" y2="46" /></Stretch>
        <rect class="ghostly" x="0" y="96" width="100%" height="5" />
      </svg>
    </div>
  );
}

function Empty() {
  return (
    <div class="empty">
      <h1>Fly a few legs in smooth air, and see whether the heading agrees with the track.</h1>
      <p class="two">Four legs, 90 degrees apart, tell wind, airspeed and most of the deviation together; eight tell it all. Bring the log of the flight, or type what was written down.</p>
      <p class="two"><a href="#/air-plan">Not flown yet? Plan the legs</a></p>
      <ul class="plain safety">{safety.map((line) => <li>{line}</li>)}</ul>
      {!(source.value === "file" && flightFile.value) && <Outline />}
    </div>
  );
}

function SoFar({ answer }: { answer: AirAnswer }) {
  return (
    <div class="empty">
      <VerdictMark state={outdated.value ? "stale" : answer.document.verdict.state} />
      <h1 class={outdated.value ? "ruled" : ""}><Sentence text={mainSentence(answer.document)} /></h1>
      <p class="two">This is the answer so far. It stays until the flight is solved again.</p>
    </div>
  );
}

export function airTitle(): string {
  const shown = editing.value ? null : air.value;
  return shown ? `${capital(shown.document.verdict.state)}: ${shown.name} · Quietnorth` : "The check in the air · Quietnorth";
}

export function AirPage() {
  const shown = air.value;
  if (shown && !editing.value) return <AirAnswerView answer={shown} />;
  return <div class="bring">{shown ? <SoFar answer={shown} /> : <Empty />}<AirForm /></div>;
}
