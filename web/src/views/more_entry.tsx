// SPDX-License-Identifier: Apache-2.0
// Everything that has an honest default: open it to say more.
import { useEffect, useState } from "preact/hooks";
import { failure, stations } from "../state/session";
import { FailureAt } from "./failure";
import { Entry, Lines, Pick } from "./field";

const here = ["stations", "headings", "motion", "mounting", "slope", "deck", "accel", "limit"];

function StationsEntry() {
  return (
    <div class="entry wide">
      <label for="stations">Stations file</label>
      <input id="stations" type="file" accept=".csv,.txt,text/csv,text/plain" aria-describedby="stations-hint"
        onChange={async (event) => {
          const file = event.currentTarget.files?.[0];
          stations.value = file ? { name: file.name, text: await file.text() } : null;
        }} />
      <p class="axis" id="stations-hint">
        {stations.value ? `${stations.value.name} is used. ` : ""}The headings the aircraft stood on, in their order: a CSV file with a column station_deg. No times are needed.
      </p>
      {stations.value && <button type="button" class="link" onClick={() => { stations.value = null; }}>Leave it out</button>}
    </div>
  );
}

export function MoreEntry() {
  const [open, setOpen] = useState(false);
  const concerned = here.includes(failure.value?.field ?? "");
  useEffect(() => { if (concerned) setOpen(true); }, [concerned]);
  return (
    <details class="more" open={open} onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary><span>More about how it was recorded</span></summary>
      <div class="fields">
        <Entry name="limit" label="Limit, °" mode="decimal" field="limit" hint="the largest heading error you accept; empty: 1.0" />
        <Entry name="basis" label="Where the limit comes from" field="limit" hint="empty: your own limit" />
        <FailureAt field="limit" />
        <StationsEntry />
        <FailureAt field="stations" />
        <Lines name="headings" label="Known headings" field="headings" example={"42.5, 090\n61, 180"}
          hint="One on each line: seconds from the start, magnetic heading." />
        <FailureAt field="headings" />
        <Pick name="motion" label="How the sensor was moved" field="motion" options={[
          ["auto", "see it from the recording"], ["tumble", "through all attitudes"], ["swing", "one level turn"],
          ["stations", "a turn with stops on known headings"]]} />
        <FailureAt field="motion" />
        <Entry name="mounting" label="Mounting" field="mounting" example="x=-y,y=x,z=z" hint="which sensor axis points forward (x), right (y), down (z); or yaw, pitch, roll in degrees" />
        <FailureAt field="mounting" />
        <Entry name="slope" label="Slope of the ground, °" field="slope" example="0.3,0.1" hint="steepness and how well it is known; empty: 0.5 is assumed" />
        <FailureAt field="slope" />
        <Entry name="deck" label="How it sits on the ground, °" field="deck" example="0,2.5" hint="roll, pitch against level flight" />
        <FailureAt field="deck" />
        <Pick name="accel" label="Accelerometer, level and at rest" field="accel" options={[["", "z reads −1 g, or there is none"], ["down", "z reads +1 g"]]} />
        <FailureAt field="accel" />
        <Entry name="stationSigma" label="Error on each station, °" mode="decimal" field="stations" hint="1 sigma; empty: 0.5" />
        <Entry name="northSigma" label="Error of north itself, °" mode="decimal" field="stations" hint="1 sigma, common to all; empty: 0.3" />
        <Entry name="aircraft" label="Aircraft, for the sheet" wide />
      </div>
    </details>
  );
}
