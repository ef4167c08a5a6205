// SPDX-License-Identifier: Apache-2.0
// What a compass shows, typed with a gloved thumb. What is expected is not shown: it would be agreed
// with.
import type { ComponentChildren } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";
import type { AskedNumber } from "../api/run";
import type { Shown } from "../state/after_taps";
import { answer, noted, recordingNow_s, second } from "../state/live";
import { opened, press } from "../state/live_answers";
import type { Moment } from "../state/run_clock";
import { readingFault, waitLeft } from "../words/live_words";
import { momentOf, Target } from "./live_target";

const keys = ["1", "2", "3", "undo", "4", "5", "6", ".", "7", "8", "9", "0"];
const kLongest = 5;

function Pad({ text, enter }: { text: string; enter: (text: string) => void }) {
  return (
    <div class="grid pad">
      {keys.map((key) => key === "undo"
        ? <Target key={key} class="choice" label="Undo the last figure" act={() => enter(text.slice(0, -1))}>Undo</Target>
        : <Target key={key} class="choice" act={() => enter(text + key)}>{key}</Target>)}
    </div>
  );
}

/** A number field with its keys; `keep` is given what was typed, once it can be a heading. */
function NumberEntry({ label, note = "", doubt, children, keep }: {
  label: string; note?: string; doubt: boolean; children: ComponentChildren; keep: (number: number, moment: Moment) => void;
}) {
  const [text, setText] = useState("");
  const [fault, setFault] = useState("");
  const field = useRef<HTMLInputElement>(null);
  useEffect(() => field.current?.focus({ preventScroll: true }), []);
  const enter = (next: string) => {
    setFault("");
    setText(next.replace(",", ".").replace(/[^\d.]/g, "").slice(0, kLongest));
  };
  const send = (moment: Moment) => {
    const wrong = readingFault(text);
    setFault(wrong);
    if (wrong) return;
    setText("");
    keep(Number(text), moment);
  };
  return (
    <form class="swingread" onSubmit={(event) => { event.preventDefault(); send(momentOf(event)); }}>
      <div class="readfield">
        <label for="reading">{label}</label>
        {note && <p class="axis">{note}</p>}
        <input id="reading" class={`reading-field ${doubt ? "doubt" : ""}`} inputMode="none" autocomplete="off" value={text} ref={field}
          aria-describedby="reading-said" aria-invalid={fault !== ""} onInput={(event) => enter(event.currentTarget.value)} />
        <p class="axis" id="reading-said" role="status">{fault}</p>
      </div>
      <Pad text={text} enter={enter} />
      <div class="further">
        {children}
        <Target class="press" disabled={noted.value} act={send}>Keep the reading</Target>
      </div>
    </form>
  );
}

/** The question in hand; while the aircraft still settles, for how long. */
export function ReadingEntry({ run, asked }: { run: Shown; asked: AskedNumber }) {
  const waits = run.phase === "wait";
  const left = waits && second.value >= 0 ? waitLeft(run.wait_s, recordingNow_s() - run.since_s) : null;
  const label = asked.by_link ? `The ${asked.device}, degrees; the link reads it, or type it` : `The ${asked.device}, degrees`;
  const note = left ? `${left.lead}${left.figure}${left.rest}` : "";
  const other = run.second && !waits ? run.second : null;
  return (
    <NumberEntry key={`${asked.device} ${asked.state} ${asked.again}`} label={label} note={note} doubt={asked.again}
      keep={(number, moment) => answer({ kind: "reading", moment, number, device: asked.device, state: asked.state })}>
      {other
        ? <Target class="choice" act={(moment) => press(run, other, moment)}>{other.label}</Target>
        : <Target class="choice" act={(moment) => { opened.value = { what: "more", moment, asked: null }; }}>More</Target>}
    </NumberEntry>
  );
}

/** A reading of before that was heard or typed wrong. */
export function MendEntry({ device, visit, close }: { device: string; visit: string; close: () => void }) {
  return (
    <NumberEntry label={`The ${device} on ${visit.split(" ")[0]}, as it was read`} doubt={false}
      keep={(number, moment) => { answer({ kind: "reading", moment, number, device, state: visit }); close(); }}>
      <Target class="choice back" act={close}>Back</Target>
    </NumberEntry>
  );
}
