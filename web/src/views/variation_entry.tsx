// SPDX-License-Identifier: Apache-2.0
// The variation, typed or from place and day: of a flight that was flown, and of one that is planned.
import { enter, entries } from "../state/entries";
import { FailureAt } from "./failure";
import { Entry, Pick } from "./field";

/** What makes true tracks and magnetic headings one. */
export function Variation({ tracks }: { tracks: boolean }) {
  const place = entries.value.north === "place";
  return (
    <fieldset class="group">
      <legend>The variation</legend>
      <div class="either">
        <label><input type="radio" name="north" checked={!place} onChange={() => enter({ north: "variation" })} /> As I know it</label>
        <label><input type="radio" name="north" checked={place} onChange={() => enter({ north: "place" })} /> From place and day</label>
      </div>
      {place ? (
        <>
          <div class="pair">
            <Entry name="latitude" label="Latitude, °" mode="text" field="place" hint="south with a minus" />
            <Entry name="longitude" label="Longitude, °" mode="text" field="place" hint="west with a minus" />
          </div>
          <FailureAt field="place" />
          <div class="pair"><Entry name="day" label="Day of the flight" date field="day" /></div>
          <FailureAt field="day" />
        </>
      ) : (
        <div class="pair">
          <Entry name="variation" label="Variation, °" mode="text" field="variation" hint={tracks ? "west with a minus; empty: A cannot be told" : "west with a minus; empty: tracks are magnetic"} />
        </div>
      )}
      {tracks && (
        <div class="pair">
          <Pick name="tracks" label="Tracks are" field="tracks" options={[["", "true"], ["magnetic", "magnetic"]]} />
          <Pick name="shown" label="Headings shown are" field="tracks" options={[["", "magnetic"], ["true", "true"]]} />
        </div>
      )}
      <FailureAt field="variation" />
      <FailureAt field="tracks" />
    </fieldset>
  );
}
