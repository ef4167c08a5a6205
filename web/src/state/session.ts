// SPDX-License-Identifier: Apache-2.0
import { computed, signal } from "@preact/signals";
import * as api from "../api/client";
import type { FitDocument } from "../api/fit_document";
import type { About, ApiError, FitNews, Recording } from "../api/types";
import { size } from "../words/figures";
import { entries, fieldOf, lines, requestOf, type StationsFile } from "./entries";

/** Something that was not done, and beside which field it is said. */
export interface Failure extends ApiError {
  field: string;
}

/** Work under way: what, how far, and how to end it. */
export interface Work {
  what: string;
  doing: string;
  done: string[];
  fraction: number | null;
  since: number;
  stop: () => void;
}

export interface Answer {
  id: string;
  document: FitDocument;
  recording: Recording;
  asked: string;
}

export const about = signal<About | null>(null);
export const recording = signal<Recording | null>(null);
export const opening = signal<Work | null>(null);
export const solving = signal<Work | null>(null);
export const failure = signal<Failure | null>(null);
export const stations = signal<StationsFile | null>(null);
export const answer = signal<Answer | null>(null);
export const editing = signal(true);
export const saidQuietly = signal("");

let file: File | null = null;

const askedNow = () => JSON.stringify([recording.value?.id, requestOf(entries.value, stations.value)]);
/** The entries are no longer those that the answer was made from. */
export const outdated = computed(() => answer.value !== null && answer.value.asked !== askedNow());

/** The same work with its latest news; what was being done before is done now. */
export function furtherOn(work: Work, news: FitNews): Work {
  const done = news.doing === work.doing || work.doing.startsWith("waiting") ? work.done : [...work.done.filter((step) => step !== work.doing), work.doing];
  return { ...work, doing: news.doing, fraction: news.fraction, done };
}

/** The same, beside that field whatever it is about. */
export function failAt(trouble: unknown, field: string) {
  fail(trouble, field);
  const said = failure.value;
  if (said) failure.value = { ...said, field };
}

export function fail(trouble: unknown, otherwise: string) {
  if (trouble instanceof DOMException && trouble.name === "AbortError") return;
  const parts = trouble instanceof api.Refused ? trouble.parts : {
    what: String(trouble), where: "this page", expected: "an answer of the program",
    remedy: "load the page again; your entries are kept",
  };
  failure.value = { ...parts, field: fieldOf(parts.where) || otherwise };
}

export async function start() {
  try {
    about.value = await api.about();
  } catch (trouble) {
    fail(trouble, "recording");
  }
}

export async function open(chosen: File) {
  const limit = about.value?.upload_limit_bytes ?? Infinity;
  opening.value?.stop();
  failure.value = null;
  if (chosen.size > limit) {
    failure.value = {
      field: "recording", where: chosen.name, what: `it has ${size(chosen.size)}`,
      expected: `at most ${size(limit)} on the page`,
      remedy: "solve it on the command line, which has no limit, or cut it into parts",
    };
    return;
  }
  file = chosen;
  const request = api.bringRecording(chosen, lines(entries.value.columns), (fraction) => {
    if (!opening.value) return;
    opening.value = { ...opening.value, fraction: fraction < 1 ? fraction : null,
      doing: fraction < 1 ? `${size(fraction * chosen.size)} of ${size(chosen.size)} brought over` : `reading ${size(chosen.size)}` };
  });
  opening.value = {
    what: chosen.name, doing: `${size(chosen.size)}`, done: [], fraction: 0, since: Date.now(), stop: request.stop,
  };
  try {
    recording.value = await request.answer;
  } catch (trouble) {
    fail(trouble, "recording");
  }
  opening.value = null;
}

/** The same file again, after its columns were named. */
export function openAgain() {
  if (file) void open(file);
}
export const hasFile = () => file !== null;

/** The answer of a turning that was led live: its recording stands with the program, not here. */
export async function openFit(recordingId: string, id: string) {
  failure.value = null;
  try {
    if (answer.value?.id !== id) {
      const seen = await api.recording(recordingId);
      await api.followWork("fits", id, () => {});
      recording.value = seen;
      answer.value = { id, document: await api.document(id), recording: seen, asked: askedNow() };
    }
    editing.value = false;
  } catch (trouble) {
    fail(trouble, "recording");
  }
}

export async function solve() {
  failure.value = null;
  const brought = recording.value;
  if (!brought) {
    failure.value = {
      field: "recording", where: "", what: "No recording yet.",
      expected: "Expected a sensor log: a CSV file with time and three field columns.", remedy: "Choose one first.",
    };
    return;
  }
  const request = requestOf(entries.value, stations.value);
  if ("field" in request) {
    failure.value = { ...request, where: "", remedy: "Fill it in, then solve." };
    return;
  }
  const asked = askedNow();
  solving.value = { what: brought.name, doing: "waiting for its turn", done: [], fraction: 0, since: Date.now(), stop: () => {} };
  try {
    const { id } = await api.startFit(brought.id, request);
    solving.value = { ...solving.value, stop: () => void api.stopWork("fits", id).catch(() => {}) };
    const last = await api.followWork("fits", id, (news) => {
      if (solving.value) solving.value = furtherOn(solving.value, news);
    });
    if (last.state === "done") {
      answer.value = { id, document: await api.document(id), recording: brought, asked };
      editing.value = false;
    } else if (last.state === "failed" && last.error) {
      throw new api.Refused(last.error);
    } else {
      saidQuietly.value = "Stopped. Your entries and what was there are kept.";
    }
  } catch (trouble) {
    fail(trouble, "recording");
  }
  solving.value = null;
}
