// SPDX-License-Identifier: Apache-2.0
// Where and when: coordinates and a day, a place kept from before, or the field as it was measured.
import { useEffect, useState } from "preact/hooks";
import { earth, type EarthThere } from "../api/client";
import { enter, entries, placeText } from "../state/entries";
import { forgetPlace, keepPlace, places } from "../state/places";
import { fixed } from "../words/figures";
import { FailureAt } from "./failure";
import { Entry } from "./field";

function KeptPlaces() {
  const [name, setName] = useState("");
  const [said, setSaid] = useState("");
  const e = entries.value;
  return (
    <details class="more places">
      <summary><span>{places.value.length ? `Kept places (${places.value.length})` : "Keep this place"}</span></summary>
      <ul>
        {places.value.map((place) => (
          <li>
            <button type="button" class="choice" onClick={() => { enter({ latitude: place.latitude, longitude: place.longitude, altitude: place.altitude }); setSaid(`${place.name} is entered.`); }}>{place.name}</button>
            <span class="small two">{[place.latitude, place.longitude].join(", ").replaceAll("-", "−")}</span>
            <button type="button" class="link" onClick={() => { forgetPlace(place.name); setSaid(`${place.name} is removed.`); }} aria-label={`Remove ${place.name}`}>Remove</button>
          </li>
        ))}
      </ul>
      <div class="keep">
        <div class="entry">
          <label for="place-name">Name of this place</label>
          <input id="place-name" value={name} autocomplete="off" onInput={(event) => setName(event.currentTarget.value)} />
        </div>
        <button type="button" class="choice" onClick={() => {
          const wanted = name.trim().slice(0, 40);
          if (!wanted || !e.latitude || !e.longitude) return setSaid("A place needs a name, a latitude and a longitude.");
          const kept = keepPlace({ name: wanted, latitude: e.latitude, longitude: e.longitude, altitude: e.altitude });
          setSaid(kept ? `${wanted} is kept in this browser.` : "This browser keeps nothing; the place lasts until the page is closed.");
          setName("");
        }}>Keep</button>
      </div>
      <p class="small" role="status">{said}</p>
    </details>
  );
}

/** What the model says for the entries: a wrong sign shows before anything is solved. */
function FieldThere() {
  const [there, setThere] = useState<EarthThere | null>(null);
  const at = placeText(entries.value);
  const day = entries.value.day;
  useEffect(() => {
    setThere(null);
    const stop = new AbortController();
    const timer = setTimeout(() => {
      if (!/^[-+\d.]+,[-+\d.]+/.test(at) || !day) return;
      earth(at, day, stop.signal).then(setThere).catch(() => {});
    }, 300);
    return () => { clearTimeout(timer); stop.abort(); };
  }, [at, day]);
  if (!there) return null;
  const east = there.declination_deg >= 0;
  return (
    <p class="small there" role="status">
      The Earth’s field there: {fixed(there.F_uT, 1)} µT, of it {fixed(there.H_uT, 1)} along the ground; dip {fixed(Math.abs(there.dip_deg), 0)}° {there.dip_deg >= 0 ? "down" : "up"}; variation {fixed(Math.abs(there.declination_deg), 1)}° {east ? "east" : "west"}.
    </p>
  );
}

export function PlaceEntry() {
  const measured = entries.value.source === "measured";
  return (
    <fieldset class="group">
      <legend>Where and when it was made</legend>
      <div class="either">
        <label><input type="radio" name="source" checked={!measured} onChange={() => enter({ source: "place" })} /> Place and day</label>
        <label><input type="radio" name="source" checked={measured} onChange={() => enter({ source: "measured" })} /> Measured field</label>
      </div>
      {measured ? (
        <>
          <div class="pair">
            <Entry name="horizontal" label="H along the ground, µT" mode="decimal" field="measured" />
            <Entry name="vertical" label="Z downward, µT" mode="text" field="measured" hint="minus where the field points up" />
          </div>
          <FailureAt field="measured" />
        </>
      ) : (
        <>
          <div class="pair">
            <Entry name="latitude" label="Latitude, °" mode="text" field="place" hint="south with a minus" />
            <Entry name="longitude" label="Longitude, °" mode="text" field="place" hint="west with a minus" />
          </div>
          <FailureAt field="place" />
          <div class="pair day">
            <Entry name="day" label="Day of the recording" date field="day" />
            <Entry name="altitude" label="Height, m" mode="text" hint="may stay empty" />
          </div>
          <FailureAt field="day" />
          <FieldThere />
          <KeptPlaces />
        </>
      )}
    </fieldset>
  );
}
