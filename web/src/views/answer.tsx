// SPDX-License-Identifier: Apache-2.0
// The answer: the sentence first, then the one thing to do next, then the evidence.
import type { FitDocument } from "../api/fit_document";
import { Bars } from "../plots/bars";
import { CoveragePlot } from "../plots/coverage";
import { ErrorCurve } from "../plots/error_curve";
import { FieldTrace } from "../plots/field_trace";
import { VerdictMark } from "../plots/marks";
import { Section } from "../plots/parts";
import { Residuals } from "../plots/residuals";
import { type Answer, editing, outdated } from "../state/session";
import { clock, day, fixed, heading, minus, sentence } from "../words/figures";
import { useNewTitle } from "./new_title";
import { Numbers } from "./numbers";
import { PaperChoice, usePaper } from "./paper_choice";
import { Sentence } from "./verdict_words";

function Next({ answer }: { answer: Answer }) {
  const { document: fit, id } = answer;
  const [paper, choosePaper] = usePaper();
  const stem = answer.recording.name.replace(/\.[^.]*$/, "");
  const nothingLeft = fit.verdict.do_next === "";
  return (
    <div class="slip next">
      <p class="kicker">Next</p>
      <h2>{nothingLeft ? "Put the sheet into the aircraft’s file." : sentence(fit.verdict.do_next)}</h2>
      {nothingLeft && <p>Then check the heading once in the air before you rely on it.</p>}
      <div class="acts">
        <a class="press" href={`/api/fits/${id}/sheet.pdf?paper=${paper}`} download={`${stem}-sheet.pdf`}>Save the sheet</a>
        <button type="button" class="choice" onClick={() => { editing.value = true; }}>Solve again</button>
      </div>
      <div class="also">
        <PaperChoice paper={paper} choose={choosePaper} />
        <span class="links">
          <a href={`/api/fits/${id}/sheet.svg?paper=${paper}`} download={`${stem}-sheet.svg`}>Sheet as a drawing (SVG)</a>
          <a href={`/api/fits/${id}`} download={`${stem}-fit.json`}>Numbers (JSON)</a>
        </span>
      </div>
    </div>
  );
}

function Say({ fit }: { fit: FitDocument }) {
  const title = useNewTitle(fit);
  return (
    <div class="say-part">
      <VerdictMark state={outdated.value ? "stale" : fit.verdict.state} />
      <h1 tabIndex={-1} ref={title} class={`${outdated.value ? "ruled" : ""} ${fit.sentence.length > 110 ? "long" : ""}`}><Sentence text={fit.sentence} /></h1>
      {outdated.value && <p><b>Stale:</b> your entries have changed since. Solve again.</p>}
      {fit.verdict.because && <p class="two">{sentence(fit.verdict.because)}</p>}
    </div>
  );
}

function CannotShow({ fit }: { fit: FitDocument }) {
  return (
    <div class="cannot-part">
      <Section title="What it cannot show">
        <ul class="cannot">{fit.unobserved.map((u) => <li><b>{sentence(u.name).replace(/\.$/, "")}</b><span class="why">{sentence(u.consequence)}</span></li>)}</ul>
      </Section>
    </div>
  );
}

function Stations({ fit }: { fit: FitDocument }) {
  return (
    <Section title="Stations" note="degrees, fitted minus station">
      <table>
        <thead><tr><th scope="col">station</th><th scope="col">stood there</th><th scope="col">left</th></tr></thead>
        <tbody>{fit.stations.map((s) => (
          <tr><th scope="row">{heading(s.station_deg)}</th>
            <td>{s.from_s === null || s.to_s === null ? "not in the recording" : `${clock(s.from_s)} to ${clock(s.to_s)}`}</td>
            <td>{s.residual_deg === null ? "·" : fixed(s.residual_deg, 1)}</td></tr>
        ))}</tbody>
      </table>
    </Section>
  );
}

export function AnswerView({ answer }: { answer: Answer }) {
  const fit = answer.document;
  const from = [fit.recording.aircraft, fit.recording.file, fit.recording.day && day(fit.recording.day), minus(fit.recording.place)].filter(Boolean).join(" · ");
  const list = (items: string[]) => <ul class="plain">{items.map((item) => <li>{sentence(item)}</li>)}</ul>;
  return (
    <>
      <div class="verdictbox"><Say fit={fit} /><Next answer={answer} />{fit.unobserved.length > 0 && <CannotShow fit={fit} />}</div>
      <p class="small two from">{from}</p>
      <div class="cols">
        <div>
          {fit.heading_error_after_deg && <Section title="Now, and with the correction" note="degrees · solid: at least · hatched: 95 % band"><Bars fit={fit} /></Section>}
          {fit.curve && <Section title="Over heading" note="heading error, degrees, east positive"><ErrorCurve fit={fit} /></Section>}
          <Section title="The recorded field" note={`${answer.recording.unit === "counts" ? "counts" : "µT"} · drawn lowest to highest`}><FieldTrace recording={answer.recording} /></Section>
          {fit.noise && fit.residuals.length > 1 && <Section title="What the fit leaves" note="µT, measured minus fitted"><Residuals residuals={fit.residuals} sigma={fit.noise.sigma_uT} /></Section>}
        </div>
        <div>
          {fit.stations.length > 0 && <Stations fit={fit} />}
          {fit.coverage.filled_fraction > 0 && <Section title="Directions met"><CoveragePlot coverage={fit.coverage} /></Section>}
          {fit.notes.length > 0 && <Section title="What was found">{list(fit.notes)}</Section>}
          {fit.assumptions.length > 0 && <Section title="What is assumed">{list(fit.assumptions)}</Section>}
          <Section title="Numbers"><Numbers fit={fit} /></Section>
        </div>
      </div>
    </>
  );
}
