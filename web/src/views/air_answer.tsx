// SPDX-License-Identifier: Apache-2.0
// The answer of the check in the air: the sentence, the next thing to do, then the evidence.
import type { AirDocument } from "../api/air_document";
import { DeviationCurve, type Seen } from "../plots/deviation_curve";
import { GroundVelocities } from "../plots/ground_velocities";
import { VerdictMark } from "../plots/marks";
import { Section } from "../plots/parts";
import { numbered } from "../plots/velocity_places";
import { type AirAnswer, editing, keepInBook, keeping, keptAs, outdated, saveNumbers, saveSheet } from "../state/air_session";
import { about } from "../state/session";
import { airSentence, airspeedWords, combinationWords, factsOf, mainSentence, nextLegs, nextLegsWords, safety, windChange, windWords } from "../words/air_words";
import { day, fixed, minus } from "../words/figures";
import { AirRows } from "./air_rows";
import { Coefficients, Largest, List } from "./deviation_parts";
import { FailureAt } from "./failure";
import { useNewTitle } from "./new_title";
import { PaperChoice, usePaper } from "./paper_choice";
import { Sentence } from "./verdict_words";

function Say({ answer }: { answer: AirAnswer }) {
  const title = useNewTitle(answer);
  const { document } = answer;
  const words = mainSentence(document);
  return (
    <div class="say-part">
      <VerdictMark state={outdated.value ? "stale" : document.verdict.state} />
      <h1 tabIndex={-1} ref={title} class={`${outdated.value ? "ruled" : ""} ${words.length > 110 ? "long" : ""}`}><Sentence text={words} /></h1>
      {outdated.value && <p><b>Stale:</b> your entries have changed since. Solve again.</p>}
      <p class="two">{factsOf(document)}</p>
    </div>
  );
}

/** Into the aircraft's book, once; a stale answer is solved again first. */
function Keep({ answer }: { answer: AirAnswer }) {
  const book = about.value?.book;
  if (!book) return <p class="axis">To keep answers in the aircraft’s book, start the program with <code>--book NAME.qnbook</code>.</p>;
  const kept = keptAs.value?.of === answer ? keptAs.value.words : "";
  return (
    <>
      <p class="keptwords" role="status">{kept}</p>
      {!kept && !outdated.value && (
        <button type="button" class="choice strong" aria-disabled={keeping.value} onClick={() => { if (!keeping.value) void keepInBook(answer); }}>
          {keeping.value ? "Writing into the book" : `Keep it in the book, ${book}`}
        </button>
      )}
      <FailureAt field="keep" />
    </>
  );
}

function Next({ answer }: { answer: AirAnswer }) {
  const [paper, choosePaper] = usePaper();
  const next = answer.document.verdict.do_next;
  return (
    <div class="slip next">
      <p class="kicker">Next</p>
      <h2>{next ? airSentence(next) : "Put the sheet into the aircraft’s file."}</h2>
      <div class="acts">
        <button type="button" class="press" onClick={() => void saveSheet(answer, "pdf", paper)}>Save the sheet</button>
        <button type="button" class="choice" onClick={() => { editing.value = true; }}>Solve again</button>
      </div>
      <Keep answer={answer} />
      <FailureAt field="sheet" />
      <div class="also">
        <PaperChoice paper={paper} choose={choosePaper} />
        <span class="links">
          <button type="button" class="link" onClick={() => void saveSheet(answer, "svg", paper)}>Sheet as a drawing (SVG)</button>
          <button type="button" class="link" onClick={() => saveNumbers(answer)}>Numbers (JSON)</button>
        </span>
      </div>
    </div>
  );
}

/** The two further legs, as large as they are read out in a cockpit. */
function TwoLegs({ document }: { document: AirDocument }) {
  const legs = nextLegs(document);
  return (
    <div class="cannot-part">
      <Section title={legs.length ? "Fly these, if you fly again" : "If you fly again"}>
        {legs.length > 0 && (
          <div class="fly">
            <p class="small two">Headings by the display</p>
            <p>{legs.map((one) => <b class="fly-heading">{one}</b>)}</p>
            <p class="small">{nextLegsWords(document)} Solve them together with those flown.</p>
          </div>
        )}
        <ul class="plain">{safety.map((line) => <li>{line}</li>)}</ul>
      </Section>
    </div>
  );
}

function WindAndAirspeed({ document }: { document: AirDocument }) {
  const sigma = document.wind_sigma_kt;
  const change = windChange(document);
  return (
    <Section title="Wind and airspeed">
      <dl class="numbers">
        <div><dt>Wind</dt><dd>{windWords(document)}{sigma ? `; 1 sigma ${fixed(sigma[0], 1)} kt east, ${fixed(sigma[1], 1)} north` : ""}</dd></div>
        {change && <div><dt>It changed</dt><dd>{change}</dd></div>}
        <div><dt>Airspeed</dt><dd>{airspeedWords(document)}</dd></div>
      </dl>
    </Section>
  );
}

function Curve({ document }: { document: AirDocument }) {
  const seen = numbered(document).flatMap((one): Seen[] => {
    const { indicated_deg, observed_deviation_deg: deviation_deg } = one.leg;
    const known = typeof indicated_deg === "number" && typeof deviation_deg === "number";
    return known ? [{ indicated_deg, deviation_deg, odd: one.use === "used" ? "" : `leg ${one.name}` }] : [];
  });
  const worst = document.worst_deviation_deg === null ? null : { deviation_deg: document.worst_deviation_deg, at_deg: document.worst_at_deg ?? 0 };
  return (
    <Section title="Deviation over heading" note="degrees, east positive · ○ a leg · fill: 95 % band">
      <DeviationCurve curve={document.curve} seen={seen} limit={document.verdict.limit_deg} worst={worst} />
    </Section>
  );
}

export function AirAnswerView({ answer }: { answer: AirAnswer }) {
  const { document } = answer;
  const { flight } = document;
  const from = [document.aircraft, answer.name === flight.file ? flight.file : answer.name, document.day && day(document.day), minus(document.place)].filter(Boolean).join(" · ");
  return (
    <>
      <div class="verdictbox"><Say answer={answer} /><Next answer={answer} /><TwoLegs document={document} /></div>
      <p class="small two from">{from}</p>
      <div class="grid2 air">
        <div class="a1">
          <Section title="Velocity over the ground" note="knots, north up"><GroundVelocities document={document} /></Section>
          <WindAndAirspeed document={document} />
        </div>
        <div class="a2">
          {document.wind_kt === null && <AirRows document={document} />}
          <Largest of={document} name="In the air" />
          {document.curve.length > 0 && <Curve document={document} />}
        </div>
      </div>
      <div class="grid2 air">
        <div class="a1">
          {document.wind_kt !== null && (
            <Coefficients of={document} exact={document.model.exact} not="not told by this flight">
              {combinationWords(document) && <p class="small basis">{combinationWords(document)}</p>}
            </Coefficients>
          )}
          <List title="Set aside" items={document.gross.map((one) => one.what)} />
          <List title="One of these is probably wrong; all are used" items={document.suspects.map((one) => one.what)} />
          <List title="Look at" items={document.remarks} />
          <List title="What this flight cannot prove" items={document.cannot_prove} />
        </div>
        <div class="a2">{document.wind_kt !== null && <AirRows document={document} />}</div>
      </div>
      <div class="grid2 air">
        <div class="a1">
          <List title="How it was read" items={document.how_read} />
          <p class="axis hash">SHA-256 {flight.sha256.replace(/(.{4})(?=.)/g, "$1 ")}</p>
        </div>
        <div class="a2"><List title="Assumed or given" items={document.assumptions} /></div>
      </div>
    </>
  );
}
