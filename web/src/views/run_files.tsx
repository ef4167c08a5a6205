// SPDX-License-Identifier: Apache-2.0
// The three files of a run, chosen or dropped together or one after the other, and what each is.
import { useState } from "preact/hooks";
import { failure } from "../state/session";
import { equipmentFile, hasLog, log, marksFile, opening, openLogAgain, take } from "../state/run_session";
import { count, fixed, sentence, span } from "../words/figures";
import { FailureAt } from "./failure";
import { Lines } from "./field";
import { Opening } from "./work";

const counted = (n: number, one: string) => `${count(n)} ${one}${n === 1 ? "" : "s"}`;
const rows = (text: string) => Math.max(0, text.split(/\r?\n/).filter((line) => line.trim() && !line.startsWith("#")).length - 1);

function Has({ what, there, missing }: { what: string; there: string | null; missing: string }) {
  return (
    <div>
      <dt>{what}</dt>
      <dd class={there === null ? "two" : ""}>{there ?? missing}</dd>
    </div>
  );
}

export function RunFiles() {
  const [over, setOver] = useState(false);
  const seen = log.value;
  const any = seen || marksFile.value || equipmentFile.value;
  const bring = (files: FileList | null | undefined) => { if (files?.length) void take([...files]); };
  const rate = seen?.rate_Hz ? `, ${fixed(seen.rate_Hz, seen.rate_Hz < 10 ? 1 : 0)} a second` : "";
  const unread = failure.value?.field === "recording" && hasLog() && !seen;
  return (
    <div class="group">
      <div class={`drop ${over ? "over" : ""} ${any ? "has" : ""}`}
        onDragOver={(event) => { event.preventDefault(); setOver(true); }}
        onDragLeave={() => setOver(false)}
        onDrop={(event) => { event.preventDefault(); setOver(false); bring(event.dataTransfer?.files); }}>
        <input class="file" id="recording" type="file" multiple accept=".csv,.txt,.log,.tsv,text/csv,text/plain" aria-describedby="recording-hint"
          onChange={(event) => { bring(event.currentTarget.files); event.currentTarget.value = ""; }} />
        <label for="recording" class={any ? "choice" : "choice strong"}>{any ? "Choose more, or other files" : "Choose the files of the run"}</label>
        <p class="axis" id="recording-hint">or drop them here, together or one after the other: the sensor’s log, the marks, and the equipment list. Each is told by its header.</p>
        <dl class="list seen">
          <Has what="Log" missing="not yet" there={seen ? `${seen.name}: ${count(seen.samples)} samples over ${span(seen.duration_s)}${rate}` : null} />
          <Has what="Marks" missing="not yet" there={marksFile.value ? `${marksFile.value.name}: ${counted(rows(marksFile.value.text), "mark")}` : null} />
          <Has what="List" missing="none: every marked device is taken as steady, off and on" there={equipmentFile.value ? `${equipmentFile.value.name}: ${counted(rows(equipmentFile.value.text), "device")}` : null} />
        </dl>
        {seen && seen.tally.remarks.length > 0 && <ul class="small remarks">{seen.tally.remarks.map((remark) => <li>{sentence(remark)}</li>)}</ul>}
        {equipmentFile.value && <button type="button" class="link" onClick={() => { equipmentFile.value = null; }}>Leave the equipment list out</button>}
      </div>
      {opening.value && <Opening work={opening.value} key={opening.value.since} />}
      <FailureAt field="recording" />
      {(unread || failure.value?.field === "columns") && (
        <div class="columns">
          <Lines name="columns" label="Columns that have another name" field="columns" example="field_x_uT=Magnetic Field x (µT)"
            hint="One on each line: our name, an equals sign, the name in the file." />
          <button type="button" class="choice" onClick={openLogAgain}>Read the file again</button>
        </div>
      )}
      <FailureAt field="columns" />
    </div>
  );
}
