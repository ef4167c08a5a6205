// SPDX-License-Identifier: Apache-2.0
// The answer to a run: the sentence, the next thing to do, then each device against the limit.
import { useState } from "preact/hooks";
import type { DisturbanceDocument } from "../api/disturbance_document";
import { deviceRows, phaseRows, RunBars } from "../plots/device_bars";
import { HeadingCurves, type NamedCurve } from "../plots/heading_curves";
import { VerdictMark } from "../plots/marks";
import { Section } from "../plots/parts";
import { anyMoved, chosen, editing, outdated, type RunAnswer } from "../state/run_session";
import { band, capital, day, degrees, fixed, heading, minus, sentence } from "../words/figures";
import { deviceAndState, kindWords, length, letter, whatToDo, worstState } from "../words/run_words";
import { useNewTitle } from "./new_title";
import { PaperChoice, usePaper } from "./paper_choice";
import { TracePart } from "./run_trace_part";
import { WhatIf } from "./run_what_if";
import { Sentence } from "./verdict_words";

function Next({ answer }: { answer: RunAnswer }) {
  const { document, id } = answer;
  const [paper, choosePaper] = usePaper();
  const stem = answer.recording.name.replace(/\.[^.]*$/, "");
  const next = document.verdict.do_next;
  return (
    <div class="slip next">
      <p class="kicker">Next</p>
      <h2>{next ? sentence(next) : "Put the sheet into the aircraft’s file."}</h2>
      <div class="acts">
        <a class="press" href={`/api/disturbances/${id}/sheet.pdf?paper=${paper}`} download={`${stem}-sheet.pdf`}>Save the sheet</a>
        {answer.asked !== null && <button type="button" class="choice" onClick={() => { editing.value = true; }}>Analyse again</button>}
      </div>
      <div class="also">
        <PaperChoice paper={paper} choose={choosePaper} />
        <span class="links">
          <a href={`/api/disturbances/${id}/sheet.svg?paper=${paper}`} download={`${stem}-sheet.svg`}>Sheet as a drawing (SVG)</a>
          <a href={`/api/disturbances/${id}`} download={`${stem}-disturbance.json`}>Numbers (JSON)</a>
          <a href={`/api/disturbances/${id}/marks.csv`} download={`${document.marks.file.replace(/\.[^.]*$/, "")}-corrected.csv`}>{anyMoved.value ? "Marks as moved (CSV)" : "Marks (CSV)"}</a>
        </span>
      </div>
    </div>
  );
}

function Say({ answer }: { answer: RunAnswer }) {
  const title = useNewTitle(answer.id);
  const { document } = answer;
  const devices = document.devices.length;
  const odd = document.unexplained.filter((thing) => thing.worst_heading_error_deg >= 0.3 * document.limit_deg).length;
  return (
    <div class="say-part">
      <VerdictMark state={outdated.value ? "stale" : document.verdict.state} />
      <h1 tabIndex={-1} ref={title} class={`${outdated.value ? "ruled" : ""} ${document.sentence.length > 110 ? "long" : ""}`}><Sentence text={document.sentence} /></h1>
      {outdated.value && <p><b>Stale:</b> your entries have changed since. Analyse again.</p>}
      {document.verdict.because && <p class="two">{sentence(document.verdict.because)} {devices} devices in {fixed((document.recording.to_s - document.recording.from_s) / 60, 0)} minutes; {odd === 0 ? "nothing of weight is unexplained" : odd === 1 ? "one thing of weight is unexplained" : `${odd} things of weight are unexplained`}.</p>}
    </div>
  );
}

function worstThree(document: DisturbanceDocument): NamedCurve[] {
  const dashes = [undefined, "d2", "d3"] as const;
  return document.devices.slice(0, 3).flatMap((device, i) => {
    const state = worstState(device);
    const dash = dashes[i];
    return state ? [{ name: `${i + 1} ${deviceAndState(device, state)}`, tone: state.verdict.state, points: state.curve, ...(dash ? { dash } : {}) }] : [];
  });
}

function ToDo({ document }: { document: DisturbanceDocument }) {
  const todo = whatToDo(document);
  return (
    <Section title="What to do, in this order">
      {todo.length === 0 ? <p>Nothing to cure: no device and no phase is over the limit.</p> : (
        <ol class="todo">{todo.map((one, i) => <li><span class="nr">{i + 1}</span><span><b>{one.lead}</b> {sentence(one.rest)}</span></li>)}</ol>
      )}
    </Section>
  );
}

const most = 6;

function Odd({ document }: { document: DisturbanceDocument }) {
  const all = document.unexplained.map((thing, i) => ({ thing, i }));
  const large = [...all].sort((a, b) => b.thing.worst_heading_error_deg - a.thing.worst_heading_error_deg).slice(0, most).sort((a, b) => a.i - b.i);
  const rest = all.filter((one) => !large.includes(one));
  const item = ({ thing, i }: (typeof all)[number]) => (
    <li>
      <i class="key">{letter(i)}</i>
      <span><b>{kindWords(thing)}.</b> {fixed(length(thing.size_uT), 2)} µT, up to {degrees(thing.worst_heading_error_deg)}.{thing.looks_like ? ` Nearest in shape: ${thing.looks_like}.` : ""}</span>
    </li>
  );
  return (
    <Section title="Not explained by any mark">
      {all.length === 0 ? <p>Nothing: every change that stands out of the noise has a mark.</p> : <ul class="events">{large.map(item)}</ul>}
      {rest.length > 0 && (
        <details class="astable">
          <summary><span>{rest.length} more, none above {degrees(Math.max(...rest.map((one) => one.thing.worst_heading_error_deg)))}</span></summary>
          <ul class="events">{rest.map(item)}</ul>
        </details>
      )}
    </Section>
  );
}

function Found({ document }: { document: DisturbanceDocument }) {
  const all = document.all_on;
  const items = [
    ...document.remarks.map(sentence),
    ...(all ? [`Everything at once and the sum of the parts ${all.agree ? "agree" : "do not agree"}: the difference is worth ${degrees(all.difference_deg)} (${band(all.difference_95_deg)}) at the worst heading.`] : []),
  ];
  return (
    <>
      <Section title="Found in the run">{items.length ? <ul class="plain">{items.map((item) => <li>{item}</li>)}</ul> : <p>Nothing that had to be mended or left out.</p>}</Section>
      {document.assumptions.length > 0 && <Section title="What is assumed"><ul class="plain">{document.assumptions.map((item) => <li>{sentence(item)}</li>)}</ul></Section>}
    </>
  );
}

function Numbers({ document }: { document: DisturbanceDocument }) {
  const { noise, earth } = document;
  return (
    <Section title="Numbers">
      <dl class="numbers">
        <div><dt>Noise</dt><dd>{fixed(noise.white_uT, 3)} µT of one sample{noise.correlation_time_s > 0 ? `, alike over ${fixed(noise.correlation_time_s, 2)} s` : ""}{noise.quantum_uT > 0 ? `; smallest step ${fixed(noise.quantum_uT, 3)} µT` : ""}</dd></div>
        <div><dt>Drift</dt><dd>{fixed(noise.drift_uT_per_min, 2)} µT a minute, taken out</dd></div>
        <div><dt>Marks</dt><dd>{fixed(Math.abs(document.common_delay_s), 1)} s {document.common_delay_s < 0 ? "early" : "late"} on the whole</dd></div>
        <div><dt>Earth’s field</dt><dd>H {fixed(earth.H_uT, 2)}, Z {fixed(earth.Z_uT, 2)} µT; dip {fixed(earth.dip_deg, 1)}° ({minus(earth.source)})</dd></div>
      </dl>
      <p class="axis hash">SHA-256 {document.recording.sha256.replace(/(.{4})(?=.)/g, "$1 ")}</p>
    </Section>
  );
}

export function RunAnswerView({ answer }: { answer: RunAnswer }) {
  const { document } = answer;
  const [phase, setPhase] = useState<string | null>(null);
  const r = document.recording;
  const from = [r.aircraft, r.file, document.marks.file, document.equipment?.file ?? "", r.day && day(r.day), minus(r.place),
    r.aircraft_heading_deg === null ? "" : `standing on ${heading(r.aircraft_heading_deg)}`].filter(Boolean).join(" · ");
  const worst = worstThree(document);
  const press = (id: string) => { chosen.value = chosen.value === id ? null : id; };
  const toPhase = (id: string) => {
    setPhase(id);
    const part = window.document.getElementById("what-if");
    part?.scrollIntoView({ block: "start" });
    window.document.getElementById("phase")?.focus({ preventScroll: true });
  };
  return (
    <>
      <div class="verdictbox"><Say answer={answer} /><Next answer={answer} /></div>
      <p class="small two from">{from}</p>
      <div class="grid2">
        <div class="a1">
          <Section title="Each device, worst first" note="degrees · solid: at least · hatched: 95 % band · ○ repeats">
            <RunBars rows={deviceRows(document)} limit={document.limit_deg} basis={document.limit_basis} pressed={chosen.value} onPress={press}
              label="Each device, worst first: press one to see its steps" says="See its steps" />
            <p class="axis basis">Limit {degrees(document.limit_deg)}: {document.limit_basis}.</p>
          </Section>
          {document.combinations.length > 0 && (
            <Section title="Together, in each phase" note="degrees · vector sums">
              <RunBars rows={phaseRows(document)} limit={document.limit_deg} basis={document.limit_basis} pressed={phase} onPress={toPhase}
                label="Each flight phase, worst first: press one to ask what if" says="Ask what if" />
            </Section>
          )}
        </div>
        <div class="a2">
          {worst.length > 0 && (
            <Section title="Over heading" note={worst.length > 2 ? "the worst three, error in degrees" : "error in degrees"}>
              <HeadingCurves curves={worst} limit={document.limit_deg} title="These curves as a table"
                label={`Heading error over magnetic heading of the worst: ${document.devices.slice(0, 3).map((d) => `${capital(d.name)}, ${degrees(worstState(d)?.worst_heading_error_deg ?? 0)}`).join("; ")}.`} />
            </Section>
          )}
          <ToDo document={document} />
          <Odd document={document} />
        </div>
      </div>
      <TracePart answer={answer} />
      <div class="grid2">
        <div class="a1"><WhatIf answer={answer} phaseOf={phase} choosePhase={setPhase} /></div>
        <div class="a2"><Found document={document} /><Numbers document={document} /></div>
      </div>
    </>
  );
}
