// SPDX-License-Identifier: Apache-2.0
// The flight: a file chosen or dropped, or legs that are typed.
import { useState } from "preact/hooks";
import { chooseSource, flightFile, source, takeFlight } from "../state/air_session";
import { size } from "../words/figures";
import { LegsEntry } from "./air_legs_entry";
import { FailureAt } from "./failure";

function FlightFile() {
  const [over, setOver] = useState(false);
  const file = flightFile.value;
  const take = (files: FileList | null | undefined) => {
    const first = files?.[0];
    if (first) takeFlight(first);
  };
  return (
    <div class={`drop ${over ? "over" : ""} ${file ? "has" : ""}`}
      onDragOver={(event) => { event.preventDefault(); setOver(true); }}
      onDragLeave={() => setOver(false)}
      onDrop={(event) => { event.preventDefault(); setOver(false); take(event.dataTransfer?.files); }}>
      <input class="file" id="recording" type="file" accept=".csv,.txt,.log,.nmea,.tsv,text/csv,text/plain" aria-describedby="recording-hint"
        onChange={(event) => { take(event.currentTarget.files); event.currentTarget.value = ""; }} />
      <label for="recording" class={file ? "choice" : "choice strong"}>{file ? "Choose another flight" : "Choose a flight"}</label>
      <p class="axis" id="recording-hint">or drop it here. A log of the flight with heading, track and ground speed, in CSV or NMEA; or a CSV list of legs. Steady legs in a log are found by themselves.</p>
      {file && <div class="seen"><p><b>{file.name}</b></p><p class="small">{size(file.size)}</p></div>}
    </div>
  );
}

export function Flight() {
  const typed = source.value === "typed";
  return (
    <fieldset class="group">
      <legend class="unseen">Where the flight comes from</legend>
      <div class="either">
        <label><input type="radio" name="flight" checked={!typed} onChange={() => chooseSource("file")} /> A file</label>
        <label><input type="radio" name="flight" checked={typed} onChange={() => chooseSource("typed")} /> Legs, typed</label>
      </div>
      {typed ? <LegsEntry /> : <FlightFile />}
      <FailureAt field="flight" />
    </fieldset>
  );
}
