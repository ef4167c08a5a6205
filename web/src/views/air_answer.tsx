// SPDX-License-Identifier: Apache-2.0
// The answer of the check in the air: the sentence, the next thing to do, then the evidence.
import { useEffect, useRef } from "preact/hooks";
import type { AirDocument } from "../api/air_document";
import { DeviationCurve } from "../plots/deviation_curve";
import { GroundVelocities } from "../plots/ground_velocities";
import { HonestBar, Ruler } from "../plots/honest_bar";
import { VerdictMark } from "../plots/marks";
import { Section } from "../plots/parts";
import { type AirAnswer, editing, outdated, saveNumbers, saveSheet } from "../state/air_session";
import { airSentence, airspeedWords, combinationWords, comesFrom, factsOf, letters, mainSentence, nextLegs, nextLegsWords, safety, signed, windChange, windWords } from "../words/air_words";
import { band, day, degrees, fixed, heading, minus } from "../words/figures";
import { AirRows } from "./air_rows";
import { FailureAt } from "./failure";
import { PaperChoice, usePaper } from "./paper_choice";
import { Sentence } from "./verdict_words";

function Say({ answer }: { answer: AirAnswer }) {
  const title = useRef<HTMLHeadingElement>(null);
  useEffect(() => {
    window.scrollTo(0, 0);
    title.current?.focus({ preventScroll: true });
  }, [answer]);
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

function Largest({ document }: { document: AirDocument }) {
  const { worst_95_deg: range, worst_deviation_deg: estimate, worst_at_deg, verdict } = document;
  if (!range || estimate === null) return null;
  const limit = verdict.limit_deg;
  const most = Math.max(range[1], (limit ?? 0) * 1.15, 0.1) * 1.04;
  const own = verdict.limit_basis?.includes("your own") ?? false;
  return (
    <Section title="Largest deviation" note="degrees · solid: at least · hatched: 95 % band">
      <div class="bars" role="group" aria-label="Largest deviation over all headings, against the limit">
        <Ruler top most={most} limit={limit} name={limit === null ? "" : `${own ? "your own limit" : "limit"} ${degrees(limit)}`} />
        <div class="row judged">
          <span class="name"><b>In the air</b><span class="why">on {heading(worst_at_deg ?? 0)} indicated</span></span>
          <span class="cell"><HonestBar range={range} tone={verdict.state} most={most} limit={limit} estimate={estimate} /></span>
          <span class="figs"><span class="est">{degrees(estimate)}</span><span class="band">{band(range, "°")}</span></span>
          <span class="verdict">{limit !== null && <VerdictMark state={verdict.state} />}</span>
        </div>
        <Ruler top={false} most={most} limit={null} name="" />
      </div>
      {limit !== null && verdict.limit_basis && <p class="axis basis">Limit {degrees(limit)}: {verdict.limit_basis}.</p>}
    </Section>
  );
}

function Coefficients({ document }: { document: AirDocument }) {
  const combination = combinationWords(document);
  return (
    <Section title="Coefficients" note={document.model.exact ? "exact, times 57.3" : "degrees"}>
      <table class="letters">
        <thead><tr><th scope="col"><span class="unseen">coefficient</span></th><th scope="col">estimate</th><th scope="col">1 sigma</th><th scope="col">95 % band</th></tr></thead>
        <tbody>{letters.map((letter) => {
          const value = document.coefficients_deg[letter];
          const range = document.coefficients_95_deg[letter];
          const sigma = document.sigma_deg[letter];
          return (
            <tr>
              <th scope="row">{letter}<span class="why">{comesFrom[letter]}</span></th>
              {value === null || range === null || sigma === null ? <td colSpan={3} class="two">not told by this flight</td> : (
                <><td>{signed(value, 1)}</td><td>{fixed(sigma, 1)}</td><td>{signed(range[0], 1)} to {signed(range[1], 1)}</td></>
              )}
            </tr>
          );
        })}</tbody>
      </table>
      {combination && <p class="small basis">{combination}</p>}
    </Section>
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

function List({ title, items }: { title: string; items: string[] }) {
  if (!items.length) return null;
  return <Section title={title}><ul class="plain">{items.map((item) => <li>{airSentence(item)}</li>)}</ul></Section>;
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
          <Largest document={document} />
          {document.curve.length > 0 && (
            <Section title="Deviation over heading" note="degrees, east positive · ○ a leg · fill: 95 % band"><DeviationCurve document={document} /></Section>
          )}
        </div>
      </div>
      <div class="grid2 air">
        <div class="a1">
          {document.wind_kt !== null && <Coefficients document={document} />}
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
