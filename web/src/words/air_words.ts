// SPDX-License-Identifier: Apache-2.0
// The words of the check in the air, as the sheet has them.
import type { AirDocument, AirLeg } from "../api/air_document";
import type { Letter } from "../api/deviation_document";
import { band, capital, clock, fixed, heading, sentence } from "./figures";

/** The program's sentences with signs in place of their letters. */
export const airSentence = (text: string) => sentence(text.replace(/ (?:V|DEG|DATE|LAT,LON)\b/g, "")).replace(/(\d) deg\b/g, "$1°").replaceAll("95 %", "95\u00a0%").replaceAll("+−", "±").replaceAll("+- ", "± ");

/** The sentence that comes first: the verdict's word stands above it already. */
export const mainSentence = (document: AirDocument) =>
  airSentence(capital(document.sentence.replace(new RegExp(`^${document.verdict.state}[;:,] *`), "")));

export const signed = (value: number, decimals: number) =>
  `${Number(value.toFixed(decimals)) > 0 ? "+" : ""}${fixed(value, decimals)}`;

export function factsOf(document: AirDocument): string {
  const legs = document.legs.filter((leg) => leg.groundspeed_kt !== undefined);
  const used = legs.filter((leg) => leg.used).length;
  const count = `${used} of ${legs.length} ${legs.length === 1 ? "leg" : "legs"} used`;
  return document.wind_kt === null ? `${count}.` : `${count}. Deviation is ${document.flight.headings_are === "true" ? "true heading" : "magnetic"} minus indicated, east positive.`;
}

export const windWords = (document: AirDocument) =>
  (document.wind_kt === null || document.wind_from_deg === null ? "not known"
    : `${fixed(document.wind_kt, 1)} kt from ${heading(document.wind_from_deg)} ${document.wind_from_north}`);

/** Where it blows to, each axis, when legs were flown back. */
export function windChange(document: AirDocument): string {
  const change = document.wind_change_kt_per_hour;
  return change ? `${signed(change[0], 1)} kt an hour to the east, ${signed(change[1], 1)} to the north` : "";
}

export const airspeedWords = (document: AirDocument) =>
  (document.tas_kt === null || document.tas_95_kt === null ? "not known" : `${fixed(document.tas_kt, 1)} kt true (95 %: ${band(document.tas_95_kt)})`);

export const letters: Letter[] = ["A", "B", "C", "D", "E"];

/** What it is of, as on the sheet. */
export const comesFrom: Record<Letter, string> = {
  A: "constant: lubber line, north", B: "sin: hard iron fore and aft", C: "cos: hard iron across", D: "sin 2: soft iron", E: "cos 2: soft iron",
};

export function combinationWords(document: AirDocument): string {
  const one = document.combination;
  if (!one) return "";
  return `Of D and E this flight tells only ${fixed(one.of_D, 2)} D ${one.of_E < 0 ? "−" : "+"} ${fixed(Math.abs(one.of_E), 2)} E: ${signed(one.value_deg, 1)}°, 1 sigma ${fixed(one.sigma_deg, 1)}°.`;
}

/** Without a wind they are a guess only, and what to do next says which to fly. */
export const nextLegs = (document: AirDocument) => (document.wind_kt === null ? [] : document.next_legs_deg.map((deg) => heading(deg)));

export function nextLegsWords(document: AirDocument): string {
  const sigma = document.next_legs_sigma_deg;
  if (!sigma) return "They tell most beside those flown.";
  return `The curve is then known to ${fixed(sigma.with_them, 1)}° instead of ${fixed(sigma.now, 1)}° (1 sigma, where it is worst), sideslip and variation aside.`;
}

export const timesOf = (leg: AirLeg) =>
  (leg.from_s === null || leg.to_s === null ? "" : leg.from_s === leg.to_s ? clock(leg.from_s) : `${clock(leg.from_s)} to ${clock(leg.to_s)}`);

/** Stretches of a log that were no leg and longer than a turn: short ones speak for themselves. */
export const leftOut = (document: AirDocument) =>
  document.legs.filter((leg) => leg.groundspeed_kt === undefined && leg.from_s !== null && leg.to_s !== null && leg.to_s - leg.from_s >= 20);

export const safety = [
  "With a second person: one flies and looks out, the other reads and writes. Other aircraft come before every reading.",
  "At a safe height, clear of cloud and terrain, in smooth air, ball in the middle, one power setting.",
  "Not for navigation by this display until it agrees.",
];
