// SPDX-License-Identifier: Apache-2.0
// Where things stand in the drawing of ground velocities: north up, the same scale both ways, and a
// number beside each leg where it can be read. Places are in % of a square.
import type { AirDocument, AirLeg } from "../api/air_document";
import { roundStep } from "./scale";

export type LegUse = "used" | "doubtful" | "left";

export interface NumberedLeg {
  number: number;
  name: string;
  use: LegUse;
  leg: AirLeg;
}

/** The legs in their order, by the numbers that sentences call them by; stretches of a log that were none left out. */
export function numbered(document: AirDocument): NumberedLeg[] {
  return document.legs.filter((leg) => leg.groundspeed_kt !== undefined).map((leg, i) => ({
    number: i + 1, name: leg.name || String(i + 1), leg,
    use: !leg.used ? "left" : document.suspects.some((one) => one.leg === i) ? "doubtful" : "used",
  }));
}

interface Vector {
  east: number;
  north: number;
}

const vector = (deg: number, size: number): Vector => {
  const angle = (deg * Math.PI) / 180;
  return { east: size * Math.sin(angle), north: size * Math.cos(angle) };
};

export interface Spot {
  x: number;
  y: number;
}

export interface PlacedLeg extends NumberedLeg {
  at: Spot;
  label: Spot;
}

export interface VelocityPlaces {
  north: "true" | "magnetic";
  origin: Spot;
  kt: number;  // % of the square for one knot
  scale_kt: number;  // a round length to compare with, at the lower left
  legs: PlacedLeg[];
  circle: { at: Spot; radius: number } | null;
  wind: { at: Spot; label: Spot; towards_deg: number } | null;
}

const apart = (a: Spot, b: Spot) => Math.hypot(a.x - b.x, a.y - b.y);

/** Beside `at`, outward from the origin first, and away from what stands there already. */
function beside(at: Spot, origin: Spot, taken: Spot[], far = 5.2): Spot {
  const out = Math.atan2(at.y - origin.y, at.x - origin.x);
  const turns = [0, 0.9, -0.9, 1.8, -1.8, Math.PI];
  const spots = [far, far * 1.7].flatMap((r) => turns.map((turn) => ({ x: at.x + r * Math.cos(out + turn), y: at.y + r * Math.sin(out + turn) })));
  const inside = (s: Spot) => s.x > 2.5 && s.x < 97.5 && s.y > 3 && s.y < 97;
  const free = (s: Spot) => taken.every((other) => apart(s, other) > 4.6);
  return spots.find((s) => inside(s) && free(s)) ?? spots[0] ?? at;
}

export function velocityPlaces(document: AirDocument): VelocityPlaces {
  const { tracks_are, variation_deg } = document.flight;
  // The wind is told from true north where the variation is known; tracks are turned to it.
  const turn = tracks_are === "magnetic" && variation_deg !== null ? variation_deg : 0;
  const north = tracks_are === "magnetic" && variation_deg === null ? "magnetic" : "true";
  const legs = numbered(document).flatMap((one) => {
    const { track_deg, groundspeed_kt } = one.leg;
    return typeof track_deg === "number" && groundspeed_kt !== undefined ? [{ ...one, v: vector(track_deg + turn, groundspeed_kt) }] : [];
  });
  const blows = document.wind_kt !== null && document.wind_from_deg !== null ? vector(document.wind_from_deg + 180, document.wind_kt) : null;
  const radius = blows ? document.tas_kt ?? 0 : 0;
  const around = blows ? [[radius, 0], [-radius, 0], [0, radius], [0, -radius]].map(([e = 0, n = 0]) => ({ east: blows.east + e, north: blows.north + n })) : [];
  const all = [{ east: 0, north: 0 }, ...legs.map((one) => one.v), ...around];
  const range = (pick: (v: Vector) => number): [number, number] => [Math.min(...all.map(pick)), Math.max(...all.map(pick))];
  const [west, east] = range((v) => v.east);
  const [south, top] = range((v) => v.north);
  const kt = 78 / Math.max(east - west, top - south, 1);
  const origin = { x: 50 - ((west + east) / 2) * kt, y: 50 + ((south + top) / 2) * kt };
  const at = (v: Vector): Spot => ({ x: origin.x + v.east * kt, y: origin.y - v.north * kt });
  const points = legs.map((one) => at(one.v));
  const circle = blows ? { at: at(blows), radius: radius * kt } : null;
  // The words at the ends of the axes stand there first.
  const scale_kt = roundStep(100 / kt, 5);
  const taken = [...points, ...[-10, -5, 0, 5, 10].map((dx) => ({ x: origin.x + dx, y: 2.2 })), { x: 98, y: origin.y - 2 },
    ...[3, 8, 13, 18].map((dx) => ({ x: scale_kt * kt + dx, y: 98 }))];
  const placed = legs.map(({ v, ...one }): PlacedLeg => {
    const spot = at(v);
    const label = beside(spot, circle?.at ?? origin, taken.filter((other) => apart(other, spot) > 0));
    taken.push(label);
    return { ...one, at: spot, label };
  });
  const wind = circle && document.wind_from_deg !== null
    ? { at: circle.at, towards_deg: (document.wind_from_deg + 180) % 360, label: beside(origin, circle.at, taken, 6) } : null;
  return { north, origin, kt, scale_kt, legs: placed, circle, wind };
}
