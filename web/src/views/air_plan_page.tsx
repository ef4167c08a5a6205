// SPDX-License-Identifier: Apache-2.0
// The plan of a check in the air: asked for on the ground, carried to the aircraft and read in it. Cautions
// stand before the legs; the legs are large, one a line.
import { useRef } from "preact/hooks";
import { type AirPlan, planSheetAddress } from "../api/air";
import { VerdictMark } from "../plots/marks";
import { Section } from "../plots/parts";
import { editing, outdated, plan, type PlanAnswer, planLegs, planning } from "../state/air_plan";
import { airSentence, comesFrom, letters } from "../words/air_words";
import { fixed, heading } from "../words/figures";
import { List } from "./deviation_parts";
import { FailureAt } from "./failure";
import { Entry } from "./field";
import { useNewTitle } from "./new_title";
import { PaperChoice, usePaper } from "./paper_choice";
import { Variation } from "./variation_entry";

function PlanForm() {
  const busy = planning.value;
  return (
    <form class="slip form" noValidate aria-label="What will be flown" onSubmit={(event) => { event.preventDefault(); if (!busy) void planLegs(); }}>
      <h2>{plan.value ? "Plan again" : "What will be flown"}</h2>
      <div class="pair">
        <Entry name="planTas" label="True airspeed, kt" mode="decimal" field="plan-tas" />
        <Entry name="planMinutes" label="Minutes for the legs" mode="decimal" field="plan-minutes" hint="with the turns between them" />
      </div>
      <FailureAt field="plan-tas" />
      <FailureAt field="plan-minutes" />
      <div class="pair">
        <Entry name="planWindFrom" label="Wind from, ° true" mode="decimal" field="plan-wind" hint="as forecast; a guess is enough" />
        <Entry name="planWind" label="Wind, kt" mode="decimal" field="plan-wind" hint="empty: none" />
      </div>
      <FailureAt field="plan-wind" />
      <Variation tracks={false} />
      <div class="pair">
        <Entry name="planLeg" label="Minutes of a leg" mode="decimal" field="plan-leg" hint="with the turn before it; empty: 3" />
        <Entry name="aircraft" label="Aircraft, for the sheet" />
      </div>
      <FailureAt field="plan-leg" />
      <FailureAt field="plan" />
      <FailureAt field="" />
      <div class="acts">
        <button type="submit" class="press" aria-disabled={busy}>{busy ? "Planning" : "Find the legs"}</button>
        {plan.value && <button type="button" class="choice" onClick={() => { editing.value = false; }}>Back to the legs</button>}
      </div>
      <p class="axis">The legs stay in this browser, also where there is no network.</p>
    </form>
  );
}

function Empty() {
  return (
    <div class="empty">
      <h1>Say how long you can fly, and see which legs tell most.</h1>
      <p class="two">The headings are chosen so that the deviation is known best where it is known worst. The sheet of them has boxes to write on.</p>
      <p class="two"><a href="#/air">Flown already? Solve the flight</a></p>
    </div>
  );
}

function Say({ answer, toLegs }: { answer: PlanAnswer; toLegs: () => void }) {
  const title = useNewTitle(answer);
  const { document } = answer;
  const old = outdated.value;
  return (
    <div class="say-part">
      {old && <VerdictMark state="stale" />}
      <h1 tabIndex={-1} ref={title} class={old ? "ruled" : ""}>Fly these <b>{document.legs.length} legs</b>, <b>{fixed(document.leg_minutes, document.leg_minutes % 1 ? 1 : 0)} minutes</b> each with the turn before it.</h1>
      {old && <p><b>Stale:</b> your entries have changed since. Plan again.</p>}
      <p class="two">At {fixed(document.tas_kt, 0)} kt true, wind {document.wind_kt > 0 ? `${fixed(document.wind_kt, 0)} kt from ${heading(document.wind_from_deg)} true` : "calm"}. The deviation is then known to {fixed(document.curve_sigma_deg, 1)}° (1 sigma, where it is known worst).</p>
      <p class="acts tolegs"><button type="button" class="choice strong" onClick={toLegs}>To the legs</button></p>
    </div>
  );
}

function Next({ answer }: { answer: PlanAnswer }) {
  const [paper, choosePaper] = usePaper();
  return (
    <div class="slip next">
      <p class="kicker">Next</p>
      <h2>Print the sheet and take it along; then solve what you wrote on it.</h2>
      <div class="acts">
        <a class="press" href={planSheetAddress("pdf", answer.query, paper)} download="air-plan-sheet.pdf">Save the sheet</a>
        <button type="button" class="choice" onClick={() => { editing.value = true; }}>Plan again</button>
      </div>
      <div class="also">
        <PaperChoice paper={paper} choose={choosePaper} />
        <span class="links">
          <a href={planSheetAddress("svg", answer.query, paper)} download="air-plan-sheet.svg">Sheet as a drawing (SVG)</a>
          <a href="#/air">Flown? Solve the flight</a>
        </span>
      </div>
    </div>
  );
}

function Legs({ document }: { document: AirPlan }) {
  const north = document.variation_deg === null ? "magnetic" : "true";
  return (
    <ol class="planned">{document.legs.map((leg, i) => (
      <li>
        <span class="nr">{i + 1}</span>
        <b class="fly-heading">{heading(leg.indicated_deg)}</b>
        <span><span class="small">track {heading(leg.track_deg)} {north}, {fixed(leg.groundspeed_kt, 0)} kt</span><span class="why">middle of the leg at {fixed(leg.at_minute, 1)} min</span></span>
      </li>
    ))}</ol>
  );
}

function Tells({ document }: { document: AirPlan }) {
  return (
    <Section title="What this will tell" note="1 sigma">
      <table class="letters">
        <thead class="unseen"><tr><th scope="col">coefficient</th><th scope="col">1 sigma</th></tr></thead>
        <tbody>{letters.map((letter) => <tr><th scope="row">{letter}<span class="why">{comesFrom[letter]}</span></th><td>{fixed(document.sigma_deg[letter], 1)}°</td></tr>)}</tbody>
      </table>
      <dl class="numbers">
        <div><dt>The curve</dt><dd>{fixed(document.curve_sigma_deg, 1)}° where it is known worst; as many legs once around: {fixed(document.even_curve_sigma_deg, 1)}°</dd></div>
        <div><dt>The wind</dt><dd>{fixed(document.wind_sigma_kt, 1)} kt along its worst axis</dd></div>
      </dl>
    </Section>
  );
}

function PlanAnswerView({ answer }: { answer: PlanAnswer }) {
  const legs = useRef<HTMLDivElement>(null);
  const { document } = answer;
  return (
    <>
      <div class="verdictbox">
        <Say answer={answer} toLegs={() => legs.current?.scrollIntoView({ block: "start" })} />
        <Next answer={answer} />
      </div>
      <div class="grid2 air">
        <div class="a1">
          <div class="cautions"><h2>Before you start</h2><ul class="plain">{document.cautions.map((one) => <li>{airSentence(one)}</li>)}</ul></div>
        </div>
        <div class="a2" ref={legs}>
          <Section title="The legs" note="fly the heading by the display; track and speed as expected"><Legs document={document} /></Section>
        </div>
      </div>
      <div class="grid2 air">
        <div class="a1"><Tells document={document} /></div>
        <div class="a2"><List title="Look at" items={document.remarks} /><List title="Assumed or given" items={document.assumptions} /></div>
      </div>
    </>
  );
}

export function AirPlanPage() {
  const shown = plan.value;
  if (shown && !editing.value) return <PlanAnswerView answer={shown} />;
  return <div class="bring"><Empty /><PlanForm /></div>;
}
