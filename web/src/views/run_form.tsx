// SPDX-License-Identifier: Apache-2.0
import { useEffect, useState } from "preact/hooks";
import { enter, entries } from "../state/entries";
import { failure, saidQuietly } from "../state/session";
import { analyse, analysing, editing, log, run } from "../state/run_session";
import { FailureAt } from "./failure";
import { Entry, Pick } from "./field";
import { PlaceAndLimit } from "./place_and_limit";
import { RunFiles } from "./run_files";
import { Solving } from "./work";

const here = ["mounting", "accel"];

function More() {
  const [open, setOpen] = useState(false);
  const concerned = here.includes(failure.value?.field ?? "");
  useEffect(() => { if (concerned) setOpen(true); }, [concerned]);
  return (
    <details class="more" open={open} onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary><span>More about how it was recorded</span></summary>
      <div class="fields">
        <Entry name="mounting" label="Mounting" field="mounting" example="x=-y,y=x,z=z" hint="which sensor axis points forward (x), right (y), down (z); or yaw, pitch, roll in degrees" />
        <FailureAt field="mounting" />
        <Pick name="accel" label="Accelerometer, level and at rest" field="accel" options={[["", "z reads −1 g, or there is none"], ["down", "z reads +1 g"]]} />
        <FailureAt field="accel" />
        <Entry name="basis" label="Where the limit comes from" field="limit" hint="empty: your own limit" />
        <Entry name="aircraft" label="Aircraft, for the sheet" />
        <div class="entry wide">
          <label class="tick"><input type="checkbox" checked={entries.value.rigid !== ""} onChange={(event) => enter({ rigid: event.currentTarget.checked ? "yes" : "" })} /> The aircraft could not tilt while gear, flaps or engine were worked</label>
        </div>
      </div>
    </details>
  );
}

export function RunForm() {
  const busy = analysing.value !== null;
  return (
    <form class="slip form" noValidate aria-label="The run and where it was made"
      onSubmit={(event) => { event.preventDefault(); if (!busy) void analyse(); }}>
      <h2>{run.value ? "Analyse again, or another run" : "The run"}</h2>
      <RunFiles />
      <PlaceAndLimit stood="Heading it stood on, °" />
      <More />
      <FailureAt field="" />
      {busy && analysing.value ? <Solving work={analysing.value} key={analysing.value.since} /> : (
        <div class="acts">
          <button type="submit" class="press">Find what each device does</button>
          {run.value && <button type="button" class="choice" onClick={() => { editing.value = false; }}>Back to the answer</button>}
        </div>
      )}
      <p class="small two" role="status">{saidQuietly.value}</p>
      {!log.value && <p class="axis">The files stay on this machine; they are put away when the program ends.</p>}
    </form>
  );
}
