// SPDX-License-Identifier: Apache-2.0
import { answer, editing, recording, saidQuietly, solve, solving } from "../state/session";
import { FailureAt } from "./failure";
import { MoreEntry } from "./more_entry";
import { PlaceEntry } from "./place_entry";
import { RecordingEntry } from "./recording_entry";
import { Solving } from "./work";

export function Form() {
  const busy = solving.value !== null;
  return (
    <form class="slip form" noValidate aria-label="The recording and where it was made"
      onSubmit={(event) => { event.preventDefault(); if (!busy) void solve(); }}>
      <h2>{answer.value ? "Solve again, or another recording" : "The recording"}</h2>
      <RecordingEntry />
      <PlaceEntry />
      <MoreEntry />
      <FailureAt field="" />
      {busy && solving.value ? <Solving work={solving.value} key={solving.value.since} /> : (
        <div class="acts">
          <button type="submit" class="press">Solve the recording</button>
          {answer.value && <button type="button" class="choice" onClick={() => { editing.value = false; }}>Back to the answer</button>}
        </div>
      )}
      <p class="small two" role="status">{saidQuietly.value}</p>
      {!recording.value && <p class="axis">The recording stays on this machine; it is put away when the program ends.</p>}
    </form>
  );
}
