// SPDX-License-Identifier: Apache-2.0
// The words of a live run that the page says by itself. Estimates are said as estimates.
import type { RunLink, RunSwingCompass } from "../api/run";
import { fixed, heading } from "./figures";

/** "9 to 25 min left": what the program thinks is possible, never one figure of false precision. */
export function timeLeft(least_s: number, most_s: number): string {
  if (most_s < 90) return "about a minute left";
  const least = Math.floor(least_s / 60);
  const most = Math.ceil(most_s / 60);
  const [low, high] = most >= 40 ? [Math.max(5, Math.round(least / 5) * 5), Math.ceil(most / 5) * 5] : [Math.max(1, least), most];
  return low >= high ? `about ${high} min left` : `${low} to ${high} min left`;
}

/** What is left of a wait of which the program knows the usual length. */
export function waitLeft(wait_s: number | null, gone_s: number): { lead: string; figure: string; rest: string } {
  if (wait_s === null) return { lead: "You will be told ", figure: "", rest: "when it is long enough." };
  const left = wait_s - gone_s;
  if (left <= 0) return { lead: "A little longer than estimated; ", figure: "", rest: "you will be told." };
  if (left < 5) return { lead: "", figure: "A few seconds", rest: " more." };
  const rounded = left >= 120 ? `${Math.ceil(left / 60)} min` : `${Math.ceil(left / 5) * 5} s`;
  return { lead: "About ", figure: rounded, rest: " more." };
}

/** So many pieces of 5 s, and how many of them are over. */
export function waitPieces(wait_s: number, gone_s: number): { all: number; over: number } {
  const all = Math.min(24, Math.max(2, Math.ceil(wait_s / 5)));
  return { all, over: Math.min(all - 1, Math.max(0, Math.floor((gone_s / wait_s) * all))) };
}

const tapsWord = (count: number) => (count === 1 ? "1 tap is" : `${count} taps are`);

export function linkDown(seconds: number, kept: number): string {
  const long = seconds < 90 ? `${Math.max(1, Math.round(seconds))} s` : `${Math.round(seconds / 60)} min`;
  return `Link down for ${long}. Go on; ${kept ? `${tapsWord(kept)} kept here` : "taps are kept here"}.`;
}

export const keptWords = (kept: number) => `${tapsWord(kept)} kept here until they can be delivered.`;

/** What is wrong with the sensors, the worst first; empty: nothing. */
export function linkTrouble(links: RunLink[]): string {
  const silent = links.find((link) => !link.alive && !link.typed);
  if (silent) return `The sensor on ${silent.address} is silent for ${Math.round(silent.silent_s)} s. Look at its cable; what is there is kept.`;
  return links.find((link) => link.wrong.length)?.wrong[0] ?? "";
}

export function ratesWords(links: RunLink[]): string {
  const alive = links.filter((link) => link.alive && link.rate_Hz > 0);
  if (!alive.length) return "no readings";
  return alive.map((link) => `${link.rate_Hz < 3 ? link.rate_Hz.toFixed(1) : Math.round(link.rate_Hz)} readings a second`).join(", ");
}

/** What stands under the word on the large target. */
export function underMain(kind: string, ago_s: number): string {
  if (kind === "acknowledge") return "then the run goes on";
  if (kind !== "tap") return "";
  return ago_s > 0 ? "the moment is taken from the sensor" : "tap as you do it";
}

/** Why this cannot be what a compass shows; empty: it can. */
export function readingFault(text: string): string {
  if (!/\d/.test(text)) return "Nothing is typed yet.";
  const number = Number(text);
  if (!Number.isFinite(number)) return `“${text}” is not a number.`;
  return number <= 360 ? "" : `${text}: a heading is not above 360.`;
}

/** What the curve says so far, in words. */
export function swingWords(compass: RunSwingCompass): string {
  const name = `${compass.name}${compass.loads ? `, loads ${compass.loads}` : ""}`;
  const count = `${compass.readings.length} ${compass.readings.length === 1 ? "reading" : "readings"}`;
  if (!compass.solved) return `${name}: ${count}; the curve begins with the third mark.`;
  const [low, high] = compass.worst_95_deg;
  return `${name}: ${count}; largest deviation so far ${fixed(compass.worst_deg, 1)}° (95 %: ${fixed(low ?? 0, 1)} to ${fixed(high ?? 0, 1)}) on ${heading(compass.worst_at_deg)}.`;
}

export const ago = (seconds: number) => `${seconds} s ago`;
/** Sentences longer than these are set smaller, so that nothing needs to be scrolled. */
export const sizeOf = (sentence: string) => (sentence.length > 130 ? "tiny" : sentence.length > 84 ? "small" : sentence.length > 46 ? "medium" : "");
