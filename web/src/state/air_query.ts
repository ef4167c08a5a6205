// SPDX-License-Identifier: Apache-2.0
// From what is typed for the check in the air to what is asked: the keys of the address, and legs
// written down as the file that they would be.
import { type Entries, type Missing, placeText, plain, plainNumber } from "./entries";

/** The keys of POST /api/air, as text. */
export type AirQuery = Record<string, string>;

type NumberKey = [keyof Entries, string, string, string];
const numbers: NumberKey[] = [
  ["airLimit", "limit_deg", "limit", "Limit"], ["variationSigma", "variation_sigma_deg", "variation", "How well the variation is known"],
  ["sideslip", "sideslip_sigma_deg", "flown", "Sideslip"], ["headingSigma", "heading_sigma_deg", "flown", "Heading of a leg"],
  ["rounding", "rounding_deg", "flown", "Step of the headings"], ["trackSigma", "track_sigma_deg", "flown", "Track of a leg"],
  ["speedSigma", "speed_sigma_kt", "flown", "Ground speed of a leg"], ["airspeedSigma", "airspeed_sigma_kt", "flown", "Airspeed from leg to leg"],
  ["windSigma", "wind_sigma_kt", "flown", "Wind from leg to leg"], ["windChange", "wind_change_kt_per_hour", "flown", "Steady change of the wind"],
  ["tasSigma", "tas_sigma_kt", "flown", "Airspeeds as shown"], ["leastLeg", "least_leg_s", "flown", "Shortest leg"],
];

function putNumber(e: Entries, [entry, key, field, word]: NumberKey, into: AirQuery): Missing | null {
  const text = plainNumber(e[entry]);
  if (!text) return null;
  if (!Number.isFinite(Number(text))) {
    return { field, what: `${word}: “${text}” is not a number.`, expected: "Expected a number such as 1.5." };
  }
  into[key] = String(Number(text));
  return null;
}

/** Where north is known from; no variation at all is an honest answer, and then A is not told. */
function putNorth(e: Entries, into: AirQuery): Missing | null {
  if (e.tracks) into.tracks_are = e.tracks;
  if (e.shown) into.headings_are = e.shown;
  if (e.north === "variation") return putNumber(e, ["variation", "variation_deg", "variation", "Variation"], into);
  if (!plain(e.latitude) || !plain(e.longitude)) {
    return { field: "place", what: "No place yet.", expected: "Expected latitude and longitude in degrees, south and west with a minus." };
  }
  if (!e.day) return { field: "day", what: "No day yet.", expected: "Expected the day of the flight: the variation moves by about a tenth of a degree a year." };
  into.at = placeText(e);
  into.on = e.day;
  return null;
}

export function airQueryOf(e: Entries): { query: AirQuery } | Missing {
  const query: AirQuery = {};
  let missing = putNorth(e, query);
  for (const one of numbers) missing = missing ?? putNumber(e, one, query);
  if (missing) return missing;
  if (e.airBasis.trim()) query.limit_basis = e.airBasis.trim();
  if (e.aircraft.trim()) query.aircraft = e.aircraft.trim();
  return { query };
}

const planNumbers: NumberKey[] = [
  ["planTas", "tas_kt", "plan-tas", "True airspeed"], ["planMinutes", "minutes", "plan-minutes", "Minutes"],
  ["planWindFrom", "wind_from_deg", "plan-wind", "Where the wind comes from"], ["planWind", "wind_kt", "plan-wind", "Wind"],
  ["planLeg", "leg_minutes", "plan-leg", "Minutes of a leg"],
];

/** The keys of GET /api/air/plan. */
export function planQueryOf(e: Entries): { query: AirQuery } | Missing {
  if (!plain(e.planTas)) return { field: "plan-tas", what: "No airspeed yet.", expected: "Expected the true airspeed that you will fly, in knots." };
  if (!plain(e.planMinutes)) return { field: "plan-minutes", what: "No time yet.", expected: "Expected the minutes for the legs and the turns between them." };
  const query: AirQuery = {};
  let missing = putNorth({ ...e, tracks: "", shown: "" }, query);
  for (const one of planNumbers) missing = missing ?? putNumber(e, one, query);
  if (missing) return missing;
  if (e.aircraft.trim()) query.aircraft = e.aircraft.trim();
  return { query };
}

/** A leg as it was written down; texts, as typed. */
export interface TypedLeg {
  indicated: string;
  track: string;
  speed: string;
}

export const blankLeg: TypedLeg = { indicated: "", track: "", speed: "" };
export const isBlank = (leg: TypedLeg) => !plain(leg.indicated) && !plain(leg.track) && !plain(leg.speed);

/** Whatever was typed stays one cell, so that a wrong one is refused and not read as two. */
const cell = (text: string) => {
  const value = plainNumber(text);
  return /[",;\s]/.test(value) ? `"${value.replaceAll('"', '""')}"` : value;
};

export const typedName = "legs-as-typed.csv";

/** The legs as a file (docs/formats/air-legs.md); each keeps the number of its row on the page. */
export function legsCsv(legs: TypedLeg[]): string {
  const rows = legs.flatMap((leg, i) => (isBlank(leg) ? [] : [[String(i + 1), cell(leg.indicated), cell(leg.track), cell(leg.speed)].join(",")]));
  return ["leg,indicated_deg,track_deg,groundspeed_kt", ...rows].join("\n") + "\n";
}

/** "legs-as-typed.csv, line 3, column 2 (indicated_deg)" as the page shows it: "Leg 2, indicated". */
export function typedPlace(where: string, legs: TypedLeg[]): string {
  const found = /^legs-as-typed\.csv(?:, line (\d+)(?:, column \d+ \((\w+)\))?)?/.exec(where);
  if (!found) return where;
  const shown = legs.flatMap((leg, i) => (isBlank(leg) ? [] : [i + 1]));
  const number = found[1] === undefined ? undefined : shown[Number(found[1]) - 2];
  const column = { indicated_deg: ", indicated", track_deg: ", track", groundspeed_kt: ", ground speed" }[found[2] ?? ""] ?? "";
  return number === undefined ? "The legs as typed" : `Leg ${number}${column}`;
}
