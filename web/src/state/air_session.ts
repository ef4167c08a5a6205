// SPDX-License-Identifier: Apache-2.0
// What the page knows of a check in the air: the flight, as a file or typed, and its answer.
import { computed, signal } from "@preact/signals";
import * as api from "../api/air";
import type { AirDocument } from "../api/air_document";
import { size } from "../words/figures";
import { airQueryOf, type AirQuery, blankLeg, isBlank, legsCsv, type TypedLeg, typedName, typedPlace } from "./air_query";
import { entries, lines } from "./entries";
import { keep, kept } from "./kept";
import { save, stemOf } from "./save_file";
import { about, fail, failure } from "./session";

const mostBytes = 64 * 1024 * 1024;  // as much as the program reads of a flight

export interface AirAnswer {
  document: AirDocument;
  text: string;  // the document as it came
  flight: Blob;
  name: string;
  query: AirQuery;
  asked: string;
}

export const source = signal<"file" | "typed">(kept<"file" | "typed">("air-source", "file"));
export const flightFile = signal<File | null>(null);
export const legs = signal<TypedLeg[]>(kept<TypedLeg[]>("air-legs", Array.from({ length: 4 }, () => blankLeg)));
export const air = signal<AirAnswer | null>(null);
export const solving = signal(false);
export const editing = signal(true);

export function chooseSource(next: "file" | "typed") {
  source.value = next;
  keep("air-source", next);
}

function setLegs(next: TypedLeg[]) {
  legs.value = next;
  keep("air-legs", next);
}
export const changeLeg = (row: number, part: Partial<TypedLeg>) => setLegs(legs.value.map((leg, i) => (i === row ? { ...leg, ...part } : leg)));
export const addLeg = () => setLegs([...legs.value, blankLeg]);
export const removeLeg = (row: number) => setLegs(legs.value.filter((_, i) => i !== row));

const askedNow = () => JSON.stringify([
  source.value === "typed" ? legsCsv(legs.value) : [flightFile.value?.name, flightFile.value?.size, flightFile.value?.lastModified],
  airQueryOf(entries.value),
]);
/** The entries are no longer those that the answer was made from. */
export const outdated = computed(() => air.value !== null && air.value.asked !== askedNow());

export function takeFlight(file: File) {
  failure.value = null;
  const most = Math.min(mostBytes, about.value?.upload_limit_bytes ?? Infinity);
  if (file.size > most) {
    failure.value = {
      field: "flight", where: file.name, what: `it has ${size(file.size)}`, expected: `at most ${size(most)}`,
      remedy: "cut the log to the part with the legs, or record once a second",
    };
    return;
  }
  flightFile.value = file;
  chooseSource("file");
}

function flightNow(): { flight: Blob; name: string } | null {
  if (source.value === "file") return flightFile.value && { flight: flightFile.value, name: flightFile.value.name };
  return legs.value.every(isBlank) ? null : { flight: new Blob([legsCsv(legs.value)], { type: "text/csv" }), name: typedName };
}

/** A refusal of this view: beside its field, one of a button beside that, and a typed leg by its number. */
function failAir(trouble: unknown, otherwise: string) {
  fail(trouble, otherwise);
  const said = failure.value;
  if (said) failure.value = { ...said, field: otherwise === "flight" ? said.field : otherwise, where: typedPlace(said.where, legs.value) };
}

export async function solveFlight() {
  failure.value = null;
  const brought = flightNow();
  if (!brought) {
    failure.value = source.value === "file"
      ? { field: "flight", where: "", what: "No flight yet.", expected: "Expected a log of the flight or a list of legs, in CSV or NMEA.", remedy: "Choose one, or type the legs." }
      : { field: "flight", where: "", what: "No leg yet.", expected: "Expected at least four legs, 90 degrees apart: heading shown, track and ground speed.", remedy: "Type them, then solve." };
    return;
  }
  const wanted = airQueryOf(entries.value);
  if ("field" in wanted) {
    failure.value = { ...wanted, where: "", remedy: "Fill it in, then solve." };
    return;
  }
  const { query } = wanted;
  const asked = askedNow();
  solving.value = true;
  try {
    const text = await api.solve(brought.flight, brought.name, query);
    air.value = { document: JSON.parse(text) as AirDocument, text, ...brought, query, asked };
    editing.value = false;
  } catch (trouble) {
    failAir(trouble, "flight");
  }
  solving.value = false;
}

/** What came of keeping it in the book; of one answer. */
export const keptAs = signal<{ of: AirAnswer; words: string } | null>(null);
export const keeping = signal(false);

export async function keepInBook(answer: AirAnswer) {
  failure.value = null;
  keeping.value = true;
  try {
    const words = await api.keep(answer.flight, answer.name, answer.query, lines(entries.value.configuration));
    keptAs.value = { of: answer, words };
  } catch (trouble) {
    failAir(trouble, "keep");
  }
  keeping.value = false;
}

export async function saveSheet(answer: AirAnswer, form: "pdf" | "svg", paper: string) {
  failure.value = null;
  try {
    save(await api.sheet(form, answer.flight, answer.name, answer.query, paper), `${stemOf(answer.name)}-sheet.${form}`);
  } catch (trouble) {
    failAir(trouble, "sheet");
  }
}

export const saveNumbers = (answer: AirAnswer) =>
  save(new Blob([answer.text], { type: "application/json" }), `${stemOf(answer.name)}-air.json`);
