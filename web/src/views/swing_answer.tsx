// SPDX-License-Identifier: Apache-2.0
// The answer of a swing: the sentence, the next thing to do with its card and sheet, what was misread,
// then each compass.
import type { SwingCompassDocument, SwingDocument } from "../api/swing_document";
import { DeviationCurve } from "../plots/deviation_curve";
import { VerdictMark } from "../plots/marks";
import { Section } from "../plots/parts";
import { SwingResiduals } from "../plots/swing_residuals";
import { saveCard, saveNumbers, saveSwingSheet, swing, type SwingAnswer } from "../state/swing_session";
import { capital, day, heading, minus } from "../words/figures";
import { becauseOf, leftOutWords, misreadWords, nameOf, swingSentence, worstOf } from "../words/swing_words";
import { Coefficients, Largest, List } from "./deviation_parts";
import { FailureAt } from "./failure";
import { Entry, Pick } from "./field";
import { useNewTitle } from "./new_title";
import { PaperChoice, usePaper } from "./paper_choice";
import { Sentence } from "./verdict_words";

function Say({ answer }: { answer: SwingAnswer }) {
  const { document } = answer;
  const title = useNewTitle(answer.id);
  const worst = worstOf(document);
  if (!worst) return null;
  const alone = document.compasses.length === 1;
  const words = becauseOf(worst, alone);
  return (
    <div class="say-part">
      <VerdictMark state={worst.verdict.state} />
      <h1 tabIndex={-1} ref={title} class={words.length > 110 ? "long" : ""}><Sentence text={words} /></h1>
      {!alone && (
        <ul class="plain">{document.compasses.filter((one) => one !== worst).map((one) => <li><VerdictMark state={one.verdict.state} /> {becauseOf(one, false)}</li>)}</ul>
      )}
      {leftOutWords(document) && <p>{leftOutWords(document)}</p>}
      {answer.finding > 0 && <p class="two">It is kept as finding {answer.finding} of the book, with the stations it was worked out from.</p>}
    </div>
  );
}

const byHand: [string, string] = ["", "filled in by hand"];

function CardEntries({ loads }: { loads: boolean }) {
  return (
    <details class="more">
      <summary><span>What the card says beside its figures</span></summary>
      <div class="fields">
        <Pick name="cardEngine" label="Engine" options={[byHand, ["running", "running"], ["stopped", "stopped"]]} />
        <Pick name="cardRadio" label="Radio" options={[byHand, ["on", "on"], ["off", "off"]]} />
        {loads && <Entry name="cardLoads" label="Which loads were on" />}
        <Entry name="cardBy" label="Who swung it" />
        <Entry name="cardPlace" label="Where" />
        <Entry name="cardDay" label="Day of the swing" date />
        <Pick name="cardSteps" label="A line for each" options={[["", "30°"], ["15", "15°"], ["45", "45°"]]} />
      </div>
    </details>
  );
}

function Next({ answer }: { answer: SwingAnswer }) {
  const [paper, choosePaper] = usePaper();
  const { document } = answer;
  const worst = worstOf(document);
  const next = worst?.verdict.do_next ?? "";
  const card = document.compasses.some((one) => one.curve.length > 0);
  // A card is for a compass that is right; before that the sheet is of more use.
  const first = card && worst?.verdict.state === "within";
  return (
    <div class="slip next">
      <p class="kicker">Next</p>
      <h2>{next ? swingSentence(next) : "Cut the card out and put it beside the compass."}</h2>
      <div class="acts">
        {card && <button type="button" class={first ? "press" : "choice"} onClick={() => void saveCard(answer, "pdf", paper)}>Save the card</button>}
        <button type="button" class={first ? "choice" : "press"} onClick={() => void saveSwingSheet(answer, "pdf", paper)}>Save the swing sheet</button>
      </div>
      <FailureAt field="sheet" />
      {card && <CardEntries loads={document.compasses.some((one) => one.loads === "on")} />}
      <div class="also">
        <PaperChoice paper={paper} choose={choosePaper} />
        <span class="links">
          {card && <button type="button" class="link" onClick={() => void saveCard(answer, "svg", paper)}>Card as a drawing (SVG)</button>}
          <button type="button" class="link" onClick={() => void saveSwingSheet(answer, "svg", paper)}>Sheet as a drawing (SVG)</button>
          <button type="button" class="link" onClick={() => saveNumbers(answer)}>Numbers (JSON)</button>
        </span>
      </div>
    </div>
  );
}

/** The human half of it, said before the figures. */
function Misread({ document }: { document: SwingDocument }) {
  const doubts = document.compasses.flatMap((one) => [
    ...one.gross.map((doubt) => ({ one, words: misreadWords(doubt, true) })), ...one.suspects.map((doubt) => ({ one, words: misreadWords(doubt, false) })),
  ]);
  if (!doubts.length) return null;
  return (
    <div class="cannot-part">
      <Section title={doubts.length === 1 ? "A reading that does not fit" : "Readings that do not fit"}>
        <ul class="cannot">{doubts.map(({ one, words }) => <li><b>{capital(nameOf(one))}</b><span class="why">{words}</span></li>)}</ul>
      </Section>
    </div>
  );
}

function Compass({ compass, alone }: { compass: SwingCompassDocument; alone: boolean }) {
  const odd = new Set([...compass.gross, ...compass.suspects].map((doubt) => doubt.row));
  const seen = compass.readings.map((one, i) => ({
    indicated_deg: one.indicated_deg, deviation_deg: one.deviation_deg, back: one.turn === "ccw",
    odd: odd.has(compass.rows[i] ?? -1) || !one.used ? `on ${heading(one.station_deg)}` : "",
  }));
  const worst = compass.worst_deviation_deg === null ? null : { deviation_deg: compass.worst_deviation_deg, at_deg: compass.worst_at_deg ?? 0 };
  const both = compass.readings.some((one) => one.turn === "ccw");
  return (
    <>
      {!alone && <h2 class="compassname">{capital(nameOf(compass))}</h2>}
      <div class="grid2 swing">
        <div class="a1">
          {compass.curve.length > 0 && (
            <Section title="Deviation over heading" note={`degrees, east positive · ○ a reading${both ? ", ● turning back" : ""} · fill: 95 % band`}>
              <DeviationCurve curve={compass.curve} seen={seen} limit={compass.verdict.limit_deg} worst={worst} />
            </Section>
          )}
          {compass.curve.length > 0 && <Section title="What each reading leaves" note="degrees, observed less fitted"><SwingResiduals compass={compass} /></Section>}
        </div>
        <div class="a2">
          <Largest of={compass} name={alone ? "This swing" : capital(compass.name)} />
          {compass.curve.length > 0 && <Coefficients of={compass} exact={compass.model.exact} not="not told by this swing" />}
          <List title="What can be taken off" items={compass.story.map(swingSentence)} />
          <List title="Look at" items={compass.remarks.map(swingSentence)} />
        </div>
      </div>
    </>
  );
}

export function SwingAnswerView({ answer }: { answer: SwingAnswer }) {
  const { document } = answer;
  const from = [document.aircraft, document.stations.file, document.day && day(document.day), minus(document.place)].filter(Boolean).join(" · ");
  const alone = document.compasses.length === 1;
  return (
    <>
      <div class="verdictbox"><Say answer={answer} /><Next answer={answer} /><Misread document={document} /></div>
      <p class="small two from">{from}</p>
      {document.compasses.map((compass) => <Compass key={nameOf(compass)} compass={compass} alone={alone} />)}
      <div class="grid2 swing">
        <div class="a1">
          <List title="What the loads do" items={(document.loads_effects ?? []).map((one) => swingSentence(one.sentence))} />
          <List title="Assumed or given" items={document.assumptions} />
        </div>
        <div class="a2">
          <List title="How it was read" items={document.how_read} />
          <p class="axis hash">SHA-256 {document.stations.sha256.replace(/(.{4})(?=.)/g, "$1 ")}</p>
        </div>
      </div>
      <p class="acts"><a class="choice" href="#/begin">Another run, or go on with one</a></p>
    </>
  );
}

/** At an address of its own, and at the end of the run. */
export function SwingPage() {
  const answer = swing.value;
  if (answer) return <SwingAnswerView answer={answer} />;
  return (
    <div class="empty">
      <h1>The answer of a swing that was led on this page.</h1>
      <FailureAt field="swing" />
      <p class="acts"><a class="choice" href="#/begin">Begin a swing, or go on with one</a></p>
    </div>
  );
}

export function swingTitle(): string {
  const worst = swing.value && worstOf(swing.value.document);
  return worst ? `${capital(worst.verdict.state)}: the swing · Quietnorth` : "A swing · Quietnorth";
}
