// SPDX-License-Identifier: Apache-2.0
// Velocity over the ground, as on a chart with north up: each leg is a point, the ring holds all
// points of equal airspeed, the arrow is the wind. Used legs are discs, doubtful ones have a dashed
// ring about them, those left out are dashed rings alone.
import type { AirDocument } from "../api/air_document";
import { fixed, heading } from "../words/figures";
import { AsTable } from "./parts";
import { type LegUse, type PlacedLeg, numbered, type Spot, type VelocityPlaces, velocityPlaces } from "./velocity_places";

const pc = (value: number) => `${value.toFixed(2)}%`;
export const useWords: Record<LegUse, string> = { used: "used", doubtful: "used, doubtful", left: "not used" };

function Line({ from, to, kind }: { from: Spot; to: Spot; kind: string }) {
  return <line class={kind} x1={pc(from.x)} y1={pc(from.y)} x2={pc(to.x)} y2={pc(to.y)} />;
}

/** The mark of a leg; the same in the drawing and in the words under it. */
export function LegMark({ use, cx, cy }: { use: LegUse; cx: number | string; cy: number | string }) {
  return (
    <>
      {use !== "left" && <circle class="leg-disc" cx={cx} cy={cy} r="4.5" />}
      {use !== "used" && <circle class={`leg-ring ${use}`} cx={cx} cy={cy} r={use === "left" ? 5.5 : 9} />}
    </>
  );
}

function Leg({ one }: { one: PlacedLeg }) {
  return (
    <>
      <LegMark use={one.use} cx={pc(one.at.x)} cy={pc(one.at.y)} />
      <text class={`strong halo ${one.use === "used" ? "" : "qt"}`} x={pc(one.label.x)} y={pc(one.label.y)} dy="4.5" text-anchor="middle">{one.name}</text>
    </>
  );
}

function Wind({ places }: { places: VelocityPlaces }) {
  const { wind, origin } = places;
  if (!wind) return null;
  return (
    <>
      <Line from={origin} to={wind.at} kind="wind-line" />
      <svg x={pc(wind.at.x)} y={pc(wind.at.y)} overflow="visible"><path class="wind-head" transform={`rotate(${wind.towards_deg})`} d="M0 0L-5 12L5 12Z" /></svg>
      <text class="strong halo" x={pc(wind.label.x)} y={pc(wind.label.y)} dy="4.5" text-anchor="middle">wind</text>
    </>
  );
}

/** A length to compare with, in place of figures on every ring. */
function Scale({ kt, length }: { kt: number; length: number }) {
  const half = (length * kt) / 2;
  return (
    <>
      <rect class="scale tick-a" x="1%" y="98%" width={pc(half)} height="5" />
      <rect class="scale tick-b" x={pc(1 + half)} y="98%" width={pc(half)} height="5" />
      <text x={pc(1 + 2 * half)} dx="7" y="98%" dy="8">{fixed(length, 0)} kt</text>
    </>
  );
}

function label(document: AirDocument, places: VelocityPlaces): string {
  const used = places.legs.filter((one) => one.use !== "left").length;
  const wind = document.wind_kt === null || document.wind_from_deg === null ? "The wind is not known."
    : `Wind ${fixed(document.wind_kt, 1)} knots from ${heading(document.wind_from_deg)}; the ring is an airspeed of ${fixed(document.tas_kt ?? 0, 1)} knots.`;
  return `Velocity over the ground, ${places.north} north up: ${used} of ${places.legs.length} legs drawn are used. ${wind}`;
}

export function GroundVelocities({ document }: { document: AirDocument }) {
  const places = velocityPlaces(document);
  if (!places.legs.length) return null;
  const { origin, circle } = places;
  const uses = [...new Set(places.legs.map((one) => one.use))];
  return (
    <>
      <figure class="velocities">
        <svg width="100%" height="100%" role="img" aria-label={label(document, places)}>
          <Line from={{ x: 0, y: origin.y }} to={{ x: 100, y: origin.y }} kind="grid" />
          <Line from={{ x: origin.x, y: 4 }} to={{ x: origin.x, y: 97 }} kind="grid" />
          <text class="strong halo" x={pc(origin.x)} y="12" text-anchor="middle">N {places.north}</text>
          <text class="strong halo" x="100%" y={pc(origin.y)} dy="-4" text-anchor="end">E</text>
          {places.legs.map((one) => <Line from={origin} to={one.at} kind="frame" />)}
          {circle && <circle class="airspeed" cx={pc(circle.at.x)} cy={pc(circle.at.y)} r={pc(circle.radius)} />}
          <Wind places={places} />
          {places.legs.map((one) => <Leg one={one} />)}
          <Scale kt={places.kt} length={places.scale_kt} />
        </svg>
      </figure>
      <ul class="marks-are small two">
        {uses.map((use) => <li><svg width="24" height="20" aria-hidden="true"><LegMark use={use} cx={12} cy={10} /></svg>a leg, {useWords[use]}</li>)}
        {circle && <li><svg width="24" height="20" aria-hidden="true"><line class="airspeed" x1="1" x2="23" y1="10" y2="10" /></svg>equal airspeed</li>}
      </ul>
      <AsTable title="This drawing as a table" head={["leg", "track", "kt", "use"]}
        rows={numbered(document).map((one) => [one.name, typeof one.leg.track_deg === "number" ? heading(one.leg.track_deg) : "·", fixed(one.leg.groundspeed_kt ?? 0, 1), useWords[one.use]])} />
    </>
  );
}
