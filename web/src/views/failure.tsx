// SPDX-License-Identifier: Apache-2.0
// What was not done: where, what was found, what was expected, what to do, and that nothing changed.
// Stands beside the field it concerns, and takes the focus so that it is not missed.
import { useEffect, useRef } from "preact/hooks";
import { failure } from "../state/session";
import { sentence, shown as words } from "../words/figures";

const optionWords: Record<string, string> = {
  "--at": "Place", "--on": "Day", "--horizontal-uT": "Horizontal field H", "--vertical-uT": "Vertical field Z",
  "--limit-deg": "Limit", "--stations": "Stations file", "--station-sigma-deg": "Station error",
  "--north-sigma-deg": "Error of north", "--known-heading": "Known headings", "--motion": "Motion",
  "--mount": "Mounting", "--mount-deg": "Mounting", "--slope-deg": "Ground slope", "--deck-deg": "Deck angle",
  "--aircraft-heading": "Heading it stood on", "--accel-reads": "Accelerometer", "--variation-deg": "Variation", "--variation-sigma-deg": "Variation",
  "--tracks-are": "Tracks", "--headings-are": "Headings", "--sideslip-sigma-deg": "Constant sideslip", "--heading-sigma-deg": "Heading of a leg",
  "--rounding-deg": "Step of the headings", "--track-sigma-deg": "Track of a leg", "--speed-sigma-kt": "Ground speed of a leg",
  "--airspeed-sigma-kt": "Airspeed from leg to leg", "--wind-sigma-kt": "Wind from leg to leg",
  "--wind-change-kt-per-hour": "Steady change of the wind", "--tas-sigma-kt": "Airspeeds shown", "--least-leg-s": "Shortest leg",
  "--map": "Column names",
};

/** The page's word for an option of the command line; files and lines stay as they are. */
function placeWords(where: string): string {
  const option = /^option '?(--[\w-]+)'?$/.exec(where)?.[1];
  return option ? (optionWords[option] ?? option) : where;
}

export function FailureAt({ field }: { field: string }) {
  const shown = failure.value?.field === field ? failure.value : null;
  const box = useRef<HTMLDivElement>(null);
  useEffect(() => {
    if (!shown) return;
    box.current?.focus({ preventScroll: true });
    box.current?.scrollIntoView({ block: "center" });
  }, [shown]);
  if (!shown) return null;
  const offline = shown.where === "link to the program";
  const where = placeWords(shown.where);
  const expected = words(shown.expected);
  return (
    <div class={`notdone ${offline ? "off" : "bad"}`} role="alert" tabIndex={-1} ref={box} id={`failure-${field}`}>
      <p class="badge">
        <svg viewBox="0 0 20 20" width="20" height="20" aria-hidden="true"><use href={offline ? "#i-link" : "#i-not"} /></svg>
        {offline ? "link down" : "not done"}
      </p>
      <h3>{where ? `${where}: ${words(shown.what)}` : words(shown.what)}{/[.!?]$/.test(shown.what) ? "" : "."}</h3>
      <p>{/^Expected/.test(expected) ? sentence(expected) : sentence(`Expected: ${expected}`)}</p>
      <p>{sentence(shown.remedy)} {offline ? "" : "Nothing was changed."}</p>
    </div>
  );
}
