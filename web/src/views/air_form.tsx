// SPDX-License-Identifier: Apache-2.0
import { useEffect, useState } from "preact/hooks";
import { air, editing, solveFlight, solving } from "../state/air_session";
import { about, failure } from "../state/session";
import { Flight } from "./air_flight";
import { FailureAt } from "./failure";
import { Entry } from "./field";
import { Variation } from "./variation_entry";

function More() {
  const [open, setOpen] = useState(false);
  const concerned = failure.value?.field === "flown";
  useEffect(() => { if (concerned) setOpen(true); }, [concerned]);
  return (
    <details class="more" open={open} onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary><span>More about how it was flown</span></summary>
      <div class="fields">
        <FailureAt field="flown" />
        <Entry name="airBasis" label="Where the limit comes from" field="limit" hint="empty: your own limit" />
        <Entry name="aircraft" label="Aircraft, for the sheet" />
        {about.value?.book && <Entry name="configuration" label="What stood how, for the book" example="engine=running; canopy=closed" hint="several with ;" />}
        <p class="axis entry wide">How well it was flown and measured, each as 1 sigma. What stays empty is assumed, and the answer says how.</p>
        <Entry name="sideslip" label="Constant sideslip, °" mode="decimal" field="flown" hint="ball off centre; all of it in A; empty: 1" />
        <Entry name="variationSigma" label="Variation, °" mode="decimal" field="variation" hint="empty: 0.5; with a place the model’s" />
        <Entry name="headingSigma" label="Heading of a leg, °" mode="decimal" field="flown" hint="empty: 1; of a log 0.7" />
        <Entry name="rounding" label="Headings are rounded to, °" mode="decimal" field="flown" hint="empty: 1; of a log 0" />
        <Entry name="trackSigma" label="Track of a leg, °" mode="decimal" field="flown" hint="empty: 0.35; of a log 0.2" />
        <Entry name="speedSigma" label="Ground speed of a leg, kt" mode="decimal" field="flown" hint="empty: 0.35; of a log 0.2" />
        <Entry name="airspeedSigma" label="Airspeed from leg to leg, kt" mode="decimal" field="flown" hint="empty: 1; of a log 0.8" />
        <Entry name="windSigma" label="Wind from leg to leg, kt" mode="decimal" field="flown" hint="each axis; empty: 0.7; of a log 0.5" />
        <Entry name="windChange" label="Its steady change, kt an hour" mode="decimal" field="flown" hint="each axis; empty: 6" />
        <Entry name="tasSigma" label="Airspeeds shown, kt" mode="decimal" field="flown" hint="their common error, with a column tas_kt; empty: 3" />
        <Entry name="leastLeg" label="Shortest leg of a log, s" mode="decimal" field="flown" hint="no sigma; empty: 30" />
      </div>
    </details>
  );
}

export function AirForm() {
  const looksOn = about.value?.you === "look_on";
  const busy = solving.value || looksOn;
  return (
    <form class="slip form" noValidate aria-label="The flight and where north was"
      onSubmit={(event) => { event.preventDefault(); if (!busy) void solveFlight(); }}>
      <h2>{air.value ? "Solve again, or another flight" : "The flight"}</h2>
      <Flight />
      <Variation tracks />
      <div class="pair"><Entry name="airLimit" label="Limit of the display, °" mode="decimal" field="limit" hint="the largest deviation you accept" /></div>
      <FailureAt field="limit" />
      <More />
      <FailureAt field="" />
      {looksOn && <p class="quiet">This device looks on. A flight is solved on the host, or on a device that leads.</p>}
      <div class="acts">
        <button type="submit" class="press" aria-disabled={busy}>{solving.value ? "Solving" : "Solve the flight"}</button>
        {air.value && <button type="button" class="choice" onClick={() => { editing.value = false; }}>Back to the answer</button>}
      </div>
      <p class="axis">The flight stays on this machine, and nothing of it is kept{about.value?.book ? ` until you put the answer into ${about.value.book}` : ""}.</p>
    </form>
  );
}
