// SPDX-License-Identifier: Apache-2.0
import { signal } from "@preact/signals";
import type { RunStart } from "../api/run";
import type { DisturbanceRequest, FitRequest } from "../api/types";
import { type AirEntries, blankAir } from "./air_entries";
import { blankCard, type CardEntries } from "./card_query";
import { keep, kept } from "./kept";

/** What is typed on the page, as it is typed. */
export interface Entries extends AirEntries, CardEntries {
  source: "place" | "measured";
  latitude: string;
  longitude: string;
  altitude: string;
  day: string;
  horizontal: string;
  vertical: string;
  limit: string;
  basis: string;
  motion: string;
  mounting: string;
  slope: string;
  deck: string;
  accel: string;
  headings: string;
  stationSigma: string;
  northSigma: string;
  columns: string;
  aircraft: string;
  stood: string;
  rigid: string;
  noise: string;
  turn: string;
  link: string;
  procedure: string;
  marks: string;
  ways: string;
  compasses: string;
  fromLink: string;
  loads: string;
  rounding: string;
  hold: string;
}

const blank: Entries = {
  source: "place", latitude: "", longitude: "", altitude: "", day: "", horizontal: "", vertical: "",
  limit: "", basis: "", motion: "auto", mounting: "", slope: "", deck: "", accel: "", headings: "",
  stationSigma: "", northSigma: "", columns: "", aircraft: "", stood: "", rigid: "",
  noise: "", turn: "", link: "", ...blankAir, ...blankCard,
  procedure: "", marks: "8", ways: "", compasses: "standby:10", fromLink: "", loads: "", rounding: "", hold: "",
};

export const entries = signal<Entries>({ ...blank, ...kept<Partial<Entries>>("entries", {}) });

export function enter(part: Partial<Entries>) {
  entries.value = { ...entries.value, ...part };
  keep("entries", entries.value);
}

/** Numbers may be typed with a real minus or a decimal comma; the program wants neither. */
export const plain = (text: string) => text.trim().replace(/[−–]/g, "-");
export const plainNumber = (text: string) => plain(text).replace(/^([-+]?\d*),(\d+)$/, "$1.$2");

export function placeText(e: Entries): string {
  const parts = [e.latitude, e.longitude, e.altitude].map(plainNumber);
  if (!parts[2]) parts.pop();
  return parts.join(",");
}

export const lines = (text: string) => text.split(/[\n;]+/).map((line) => plain(line)).filter(Boolean);

/** A small file, as it goes along with a request. */
export interface NamedText {
  name: string;
  text: string;
}
export type StationsFile = NamedText;

export interface Missing {
  field: string;
  what: string;
  expected: string;
}

const wordOf: Partial<Record<keyof Entries, string>> = {
  horizontal: "Horizontal field", vertical: "Vertical field", limit: "Limit", stood: "Heading it stands on", noise: "Noise", turn: "Stations", rounding: "Readings are rounded to", hold: "How long it stands",
  stationSigma: "How well it stood on each station", northSigma: "How well north was known",
};

/** Where the field is known from: the same keys for a fit and for a run. */
function fieldKnown(e: Entries, into: { at?: string; on?: string }): Missing | null {
  if (e.source === "measured") {
    if (plain(e.horizontal) && plain(e.vertical)) return null;
    return { field: "measured", what: "Both parts of the field are needed.", expected: "Expected H along the ground and Z downward, in microtesla." };
  }
  if (!plain(e.latitude) || !plain(e.longitude)) {
    return { field: "place", what: "No place yet.", expected: "Expected latitude and longitude in degrees, south and west with a minus." };
  }
  if (!e.day) {
    return { field: "day", what: "No day yet.", expected: "Expected the day of the recording: the Earth’s field moves by about a tenth of a degree a year." };
  }
  into.at = placeText(e);
  into.on = e.day;
  return null;
}

/** Puts typed numbers where they belong; the first that is none is said. */
function putNumbers<Key extends string>(e: Entries, numbers: [keyof Entries, Key, string][], into: { [key in Key]?: number }): Missing | null {
  for (const [entry, key, field] of numbers) {
    const text = plainNumber(e[entry]);
    if (!text) continue;
    const value = Number(text);
    if (!Number.isFinite(value)) {
      return { field, what: `${wordOf[entry] ?? entry}: “${text}” is not a number.`, expected: "Expected a number such as 1.5." };
    }
    into[key] = value as { [key in Key]?: number }[Key];
  }
  return null;
}

const measured: [keyof Entries, "horizontal_uT" | "vertical_uT", string][] = [["horizontal", "horizontal_uT", "measured"], ["vertical", "vertical_uT", "measured"]];

/** The request that the entries make for a sensor fit, or what is missing from them. */
export function requestOf(e: Entries, stations: StationsFile | null): FitRequest | Missing {
  const request: FitRequest = {};
  const missing = fieldKnown(e, request) ?? (e.source === "measured" ? putNumbers(e, measured, request) : null) ?? putNumbers(e, [
    ["limit", "limit_deg", "limit"], ["stationSigma", "station_sigma_deg", "stations"], ["northSigma", "north_sigma_deg", "stations"],
  ], request);
  if (missing) return missing;
  const texts: [string, keyof FitRequest][] = [
    [e.motion === "auto" ? "" : e.motion, "motion"], [e.slope, "slope_deg"], [e.deck, "deck_deg"],
    [e.accel, "accel_reads"], [e.basis, "limit_basis"], [e.aircraft, "aircraft"],
    [e.mounting, e.mounting.includes("=") ? "mount" : "mount_deg"],
  ];
  for (const [text, key] of texts) {
    if (text.trim()) Object.assign(request, { [key]: plain(text) });
  }
  if (stations) Object.assign(request, { stations_csv: stations.text, stations_name: stations.name });
  const known = lines(e.headings);
  if (known.length) request.known_headings = known;
  return request;
}

/** The request that the entries make for a disturbance run, or what is missing from them. */
export function runRequestOf(e: Entries, marks: NamedText | null, equipment: NamedText | null): DisturbanceRequest | Missing {
  const request: DisturbanceRequest = {};
  if (!marks) {
    return { field: "recording", what: "No marks yet.", expected: "Expected a marks file: a CSV file with time_s, device and state, one row for each switch." };
  }
  Object.assign(request, { marks_csv: marks.text, marks_name: marks.name });
  if (equipment) Object.assign(request, { equipment_csv: equipment.text, equipment_name: equipment.name });
  const missing = fieldKnown(e, request) ?? (e.source === "measured" ? putNumbers(e, measured, request) : null) ??
    putNumbers(e, [["limit", "limit_deg", "limit"], ["stood", "aircraft_heading_deg", "stood"]], request);
  if (missing) return missing;
  const texts: [string, keyof DisturbanceRequest][] = [
    [e.accel, "accel_reads"], [e.basis, "limit_basis"], [e.aircraft, "aircraft"],
    [e.mounting, e.mounting.includes("=") ? "mount" : "mount_deg"],
  ];
  for (const [text, key] of texts) {
    if (text.trim()) Object.assign(request, { [key]: plain(text) });
  }
  if (e.rigid) request.rigid = true;
  return request;
}

/** A swing: people read, and a link may read one compass. */
function swingStartOf(e: Entries, chosen: string[]): RunStart | Missing {
  const compasses = lines(e.compasses);
  if (!compasses.length) {
    return { field: "compasses", what: "No compass yet.", expected: "Expected a name for each compass that is read, such as standby:10." };
  }
  const fromLink = e.fromLink.trim();
  if (chosen.length > 0 !== (fromLink !== "")) {
    return { field: "from-link", what: fromLink ? "No sensor is chosen for that compass." : "A sensor is chosen, and not which compass it shows.",
      expected: "Expected both, or neither: then every compass is read by a person." };
  }
  const request: RunStart = { links: chosen, go_on: false, swing: Number(e.marks) as NonNullable<RunStart["swing"]>, both_ways: e.ways === "both", compasses };
  if (fromLink) request.from_link = fromLink;
  if (e.loads === "off" || e.loads === "on" || e.loads === "off,on") request.loads = e.loads;
  return putNumbers(e, [["rounding", "rounding_deg", "rounding"], ["hold", "hold_s", "hold"]], request) ?? request;
}

/** The request that begins a live run, or what is missing for it. */
export function runStartOf(e: Entries, chosen: string[], goOn: boolean): RunStart | Missing {
  if (e.procedure === "swing" && !goOn) return swingStartOf(e, chosen);
  const request: RunStart = { links: chosen, go_on: goOn };
  if (!chosen.length && !goOn) {
    return { field: "links", what: "No sensor chosen yet.", expected: "Expected at least one link to a sensor that speaks." };
  }
  const missing = (goOn ? null : fieldKnown(e, request) ?? (e.source === "measured" ? putNumbers(e, measured, request) : null)) ??
    putNumbers(e, [["limit", "limit_deg", "limit"], ["stood", "aircraft_heading_deg", "stood"], ["noise", "noise_uT", "noise"], ["turn", "turn", "turn"]], request);
  return missing ?? request;
}

/** The field of the page that a refusal is about, by the option or key that it names. */
export function fieldOf(where: string): string {
  const table: [RegExp, string][] = [
    [/--compass|'compasses'/, "compasses"], [/--from-link|'from_link'/, "from-link"], [/--rounding|rounding_deg/, "rounding"], [/--hold|hold_s/, "hold"],
    [/--at\b|'at'/, "place"], [/--on\b|'on'/, "day"],
    [/--horizontal-uT|--vertical-uT|horizontal_uT|vertical_uT/, "measured"],
    [/--aircraft-heading|aircraft_heading/, "stood"],
    [/noise_uT|--noise/, "noise"], [/'turn'|--turn/, "turn"], [/--link\b|'links?'|link '/, "links"],
    [/--tas-kt|'tas_kt'/, "plan-tas"], [/--minutes|'minutes'/, "plan-minutes"], [/--leg-minutes|leg_minutes/, "plan-leg"],
    [/--wind-from-deg|--wind-kt|wind_from_deg|'wind_kt'/, "plan-wind"], [/--configuration|'configuration'/, "configuration"],
    [/--variation|variation_(sigma_)?deg/, "variation"], [/--tracks-are|tracks_are/, "tracks"], [/--headings-are|headings_are/, "tracks"],
    [/--(sideslip|heading-sigma|rounding|track-sigma|speed-sigma|airspeed|wind|tas-sigma|least-leg)/, "flown"],
    [/--limit/, "limit"], [/limit_(deg|basis)/, "limit"],
    [/--stations?|--station-sigma|--north-sigma|stations|station_sigma|north_sigma/, "stations"],
    [/--known-heading|known_headings/, "headings"], [/--motion|'motion'/, "motion"],
    [/--mount|'mount/, "mounting"], [/--slope|slope_deg/, "slope"], [/--deck|deck_deg/, "deck"],
    [/--accel|accel_reads/, "accel"], [/--map|column_map/, "columns"],
  ];
  return table.find(([pattern]) => pattern.test(where))?.[1] ?? "";
}
