// SPDX-License-Identifier: Apache-2.0
import { signal } from "@preact/signals";
import type { FitRequest } from "../api/types";
import { keep, kept } from "./kept";

/** What is typed on the page, as it is typed. */
export interface Entries {
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
}

const blank: Entries = {
  source: "place", latitude: "", longitude: "", altitude: "", day: "", horizontal: "", vertical: "",
  limit: "", basis: "", motion: "auto", mounting: "", slope: "", deck: "", accel: "", headings: "",
  stationSigma: "", northSigma: "", columns: "", aircraft: "",
};

export const entries = signal<Entries>({ ...blank, ...kept<Partial<Entries>>("entries", {}) });

export function enter(part: Partial<Entries>) {
  entries.value = { ...entries.value, ...part };
  keep("entries", entries.value);
}

/** Numbers may be typed with a real minus or a decimal comma; the program wants neither. */
const plain = (text: string) => text.trim().replace(/[−–]/g, "-");
const plainNumber = (text: string) => plain(text).replace(/^([-+]?\d*),(\d+)$/, "$1.$2");

export function placeText(e: Entries): string {
  const parts = [e.latitude, e.longitude, e.altitude].map(plainNumber);
  if (!parts[2]) parts.pop();
  return parts.join(",");
}

export const lines = (text: string) => text.split(/[\n;]+/).map((line) => plain(line)).filter(Boolean);

export interface StationsFile {
  name: string;
  text: string;
}

export interface Missing {
  field: string;
  what: string;
  expected: string;
}

const wordOf: Partial<Record<keyof Entries, string>> = {
  horizontal: "Horizontal field", vertical: "Vertical field", limit: "Limit",
  stationSigma: "How well it stood on each station", northSigma: "How well north was known",
};

/** The request that the entries make, or what is missing from them. */
export function requestOf(e: Entries, stations: StationsFile | null): FitRequest | Missing {
  const request: FitRequest = {};
  const numbers: [keyof Entries, "horizontal_uT" | "vertical_uT" | "limit_deg" | "station_sigma_deg" | "north_sigma_deg", string][] = [
    ["limit", "limit_deg", "limit"], ["stationSigma", "station_sigma_deg", "stations"],
    ["northSigma", "north_sigma_deg", "stations"],
  ];
  if (e.source === "measured") {
    numbers.unshift(["horizontal", "horizontal_uT", "measured"], ["vertical", "vertical_uT", "measured"]);
    if (!plain(e.horizontal) || !plain(e.vertical)) {
      return { field: "measured", what: "Both parts of the field are needed.", expected: "Expected H along the ground and Z downward, in microtesla." };
    }
  } else {
    if (!plain(e.latitude) || !plain(e.longitude)) {
      return { field: "place", what: "No place yet.", expected: "Expected latitude and longitude in degrees, south and west with a minus." };
    }
    if (!e.day) {
      return { field: "day", what: "No day yet.", expected: "Expected the day of the recording: the Earth’s field moves by about a tenth of a degree a year." };
    }
    request.at = placeText(e);
    request.on = e.day;
  }
  for (const [entry, key, field] of numbers) {
    const text = plainNumber(e[entry]);
    if (!text) continue;
    const value = Number(text);
    if (!Number.isFinite(value)) {
      return { field, what: `${wordOf[entry] ?? entry}: “${text}” is not a number.`, expected: "Expected a number such as 1.5." };
    }
    request[key] = value;
  }
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

/** The field of the page that a refusal is about, by the option or key that it names. */
export function fieldOf(where: string): string {
  const table: [RegExp, string][] = [
    [/--at\b|'at'/, "place"], [/--on\b|'on'/, "day"],
    [/--horizontal-uT|--vertical-uT|horizontal_uT|vertical_uT/, "measured"],
    [/--limit/, "limit"], [/limit_(deg|basis)/, "limit"],
    [/--stations?|--station-sigma|--north-sigma|stations|station_sigma|north_sigma/, "stations"],
    [/--known-heading|known_headings/, "headings"], [/--motion|'motion'/, "motion"],
    [/--mount|'mount/, "mounting"], [/--slope|slope_deg/, "slope"], [/--deck|deck_deg/, "deck"],
    [/--accel|accel_reads/, "accel"], [/--map|column_map/, "columns"],
  ];
  return table.find(([pattern]) => pattern.test(where))?.[1] ?? "";
}
