// SPDX-License-Identifier: Apache-2.0
// Figures as they are shown: real minus, fixed decimals, units in words where they stand alone.

export const minus = (text: string) => text.replace(/(^|[\s(,\[])-(?=[\d.])/g, "$1−");

const optionNames: Record<string, string> = {
  "--stations": "a stations file", "--known-heading": "known headings", "--slope-deg": "the slope of the ground",
  "--deck-deg": "how the aircraft sits on the ground", "--mount": "the mounting", "--mount-deg": "the mounting",
  "--limit-deg": "a limit", "--map": "the names of the columns", "--motion": "how it was moved",
  "--rigid": "“could not tilt”", "--aircraft-heading": "the heading it stood on",
  "--at": "the place", "--on": "the day", "--horizontal-uT": "H", "--vertical-uT": "Z",
  "--accel-reads": "which way the accelerometer reads", "--station-sigma-deg": "the error on each station",
  "--north-sigma-deg": "the error of north", "--variation-deg": "the variation", "--limit-basis": "where it comes from",
  "--variation-sigma-deg": "its sigma", "--sideslip-sigma-deg": "the constant sideslip", "--tracks-are": "tracks are", "--headings-are": "headings are",
};

/** The program's words on the page: its fields in place of the command line's options, set as type. */
export function shown(text: string): string {
  const words = text.replace(/--[a-z][\w-]*\w/g, (option) => optionNames[option] ?? option);
  return minus(words).replace(/(\w)'(?=\w|\s)/g, "$1’");
}

export function fixed(value: number, decimals: number): string {
  const text = value.toFixed(decimals);
  return minus(Number(text) === 0 ? text.replace("-", "") : text);
}

export const degrees = (value: number) => `${fixed(value, 1)}°`;

/** "3.6 to 4.1", or "at most 0.1" when the lower end shows as nothing. */
export function band(range: readonly [number, number], unit = ""): string {
  const low = fixed(range[0], 1);
  const high = fixed(range[1], 1);
  return low === "0.0" ? `at most ${high}${unit}` : `${low} to ${high}${unit}`;
}

/** Three digits, 030; north is N only on axes. */
export const heading = (value: number) => String(Math.round(value) % 360).padStart(3, "0");

export function count(value: number): string {
  return String(Math.round(value)).replace(/\B(?=(\d{3})+$)/g, "\u202f");
}

export function size(bytes: number): string {
  if (bytes < 1e6) return `${Math.max(1, Math.round(bytes / 1e3))} kB`;
  return bytes < 1e9 ? `${fixed(bytes / 1e6, 1)} MB` : `${fixed(bytes / 1e9, 2)} GB`;
}

/** "7 min 35 s", "1 h 04 min", "12.4 s". */
export function span(seconds: number): string {
  if (seconds < 60) return `${fixed(seconds, seconds < 10 ? 1 : 0)} s`;
  const whole = Math.round(seconds);
  if (whole < 3600) return `${Math.floor(whole / 60)} min ${String(whole % 60).padStart(2, "0")} s`;
  return `${Math.floor(whole / 3600)} h ${String(Math.floor((whole % 3600) / 60)).padStart(2, "0")} min`;
}

/** Elapsed: 03:42, or 03:42.5 when finer than a second matters. */
export function clock(seconds: number, step = 1): string {
  const decimals = step >= 1 ? 0 : step >= 0.1 ? 1 : step >= 0.01 ? 2 : 3;
  const unit = 10 ** decimals;
  const ticks = Math.round(Math.abs(seconds) * unit);
  const minutes = Math.floor(ticks / unit / 60);
  const rest = (ticks / unit - minutes * 60).toFixed(decimals).padStart(decimals ? decimals + 3 : 2, "0");
  return `${seconds < 0 && ticks > 0 ? "−" : ""}${String(minutes).padStart(2, "0")}:${rest}`;
}

const months = ["January", "February", "March", "April", "May", "June", "July", "August", "September",
  "October", "November", "December"];

/** 2026-05-14 as 14 May 2026; anything else as it is. */
export function day(iso: string): string {
  const parts = /^(\d{4})-(\d{2})-(\d{2})$/.exec(iso);
  const month = parts && months[Number(parts[2]) - 1];
  return parts && month ? `${Number(parts[3])} ${month} ${parts[1]}` : iso;
}

export function significant(value: number, digits: number): string {
  if (value === 0) return "0";
  const power = Math.floor(Math.log10(Math.abs(value)));
  if (power >= -4 && power < 6) return minus(value.toFixed(Math.max(0, digits - 1 - power)));
  const [mantissa, exponent] = value.toExponential(digits - 1).split("e");
  return minus(`${mantissa} × 10^${Number(exponent)}`).replace("^-", "^−");
}

/** Splits a sentence into plain parts and the figures in degrees that stand bold in it. */
export function boldFigures(sentence: string): { text: string; bold: boolean }[] {
  const figure = /(?:−|-)?\d+(?:\.\d+)?(?:°|\sdegrees?)?\s(?:to|and)\s(?:−|-)?\d+(?:\.\d+)?(?:°|\sdegrees?)|(?:−|-)?\d+(?:\.\d+)?(?:°|\sdegrees?)/g;
  const parts: { text: string; bold: boolean }[] = [];
  let from = 0;
  for (const found of sentence.matchAll(figure)) {
    if (found.index > from) parts.push({ text: sentence.slice(from, found.index), bold: false });
    parts.push({ text: minus(found[0]), bold: true });
    from = found.index + found[0].length;
  }
  if (from < sentence.length) parts.push({ text: sentence.slice(from), bold: false });
  return parts;
}

export const capital = (text: string) => text.charAt(0).toUpperCase() + text.slice(1);

/** A whole sentence: capital first, full stop last. */
export function sentence(text: string): string {
  const trimmed = shown(text.trim());
  return capital(/[.!?:]$/.test(trimmed) ? trimmed : `${trimmed}.`);
}
