// SPDX-License-Identifier: Apache-2.0
// Choosing or dropping the recording, and what was seen in it.
import { useRef, useState } from "preact/hooks";
import { failure, hasFile, open, openAgain, opening, recording } from "../state/session";
import { count, fixed, sentence, span } from "../words/figures";
import { FailureAt } from "./failure";
import { Lines } from "./field";
import { Opening } from "./work";

function Seen() {
  const seen = recording.value;
  if (!seen) return null;
  const rate = seen.rate_Hz ? `, ${fixed(seen.rate_Hz, seen.rate_Hz < 10 ? 1 : 0)} a second` : "";
  const also = seen.columns.slice(4).map((name) => name.replace(/_(deg|g|A|C|uT)$/, "").replaceAll("_", " "));
  return (
    <div class="seen">
      <p><b>{seen.name}</b></p>
      <p class="small">{count(seen.samples)} samples over {span(seen.duration_s)}{rate}, in {seen.unit === "counts" ? "the sensor’s own counts" : "microtesla"}{also.length ? `; also ${also.join(", ")}` : ""}.</p>
      {seen.tally.remarks.length > 0 && <ul class="small remarks">{seen.tally.remarks.map((remark) => <li>{sentence(remark)}</li>)}</ul>}
    </div>
  );
}

export function RecordingEntry() {
  const [over, setOver] = useState(false);
  const input = useRef<HTMLInputElement>(null);
  const take = (files: FileList | null | undefined) => {
    const file = files?.[0];
    if (file) void open(file);
  };
  const unread = failure.value?.field === "recording" && hasFile() && !recording.value;
  return (
    <div class="group">
      <div class={`drop ${over ? "over" : ""} ${recording.value ? "has" : ""}`}
        onDragOver={(event) => { event.preventDefault(); setOver(true); }}
        onDragLeave={() => setOver(false)}
        onDrop={(event) => { event.preventDefault(); setOver(false); take(event.dataTransfer?.files); }}>
        <input class="file" id="recording" type="file" ref={input} accept=".csv,.txt,.log,.tsv,text/csv,text/plain"
          aria-describedby="recording-hint"
          onChange={(event) => { take(event.currentTarget.files); event.currentTarget.value = ""; }} />
        <label for="recording" class={recording.value ? "choice" : "choice strong"}>{recording.value ? "Choose another recording" : "Choose a recording"}</label>
        <p class="axis" id="recording-hint">or drop it here. A CSV file of one sensor: time and three field columns.</p>
        <Seen />
      </div>
      {opening.value && <Opening work={opening.value} key={opening.value.since} />}
      <FailureAt field="recording" />
      {(unread || failure.value?.field === "columns") && (
        <div class="columns">
          <Lines name="columns" label="Columns that have another name" field="columns" example="field_x_uT=Magnetic Field x (µT)"
            hint="One on each line: our name, an equals sign, the name in the file." />
          <button type="button" class="choice" onClick={openAgain}>Read the file again</button>
        </div>
      )}
      <FailureAt field="columns" />
    </div>
  );
}
