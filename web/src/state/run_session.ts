// SPDX-License-Identifier: Apache-2.0
import { computed, signal } from "@preact/signals";
import { bringRecording, followWork, Refused, stopWork } from "../api/client";
import type { Combination, DisturbanceDocument } from "../api/disturbance_document";
import * as api from "../api/disturbances";
import type { MarkNow, Recording } from "../api/types";
import { size } from "../words/figures";
import { entries, lines, type NamedText, runRequestOf } from "./entries";
import { latestOnly } from "./latest";
import { kindOfFile } from "./run_files";
import { movedOnly, withMark } from "./run_marks";
import { about, fail, failure, furtherOn, saidQuietly, type Work } from "./session";

export interface RunAnswer {
  id: string;
  version: number;  // counts up when the answer followed a moved mark
  document: DisturbanceDocument;
  recording: Pick<Recording, "id" | "name">;
  asked: string | null;  // null: it was not asked for with entries of this page
}

export const log = signal<Recording | null>(null);
export const marksFile = signal<NamedText | null>(null);
export const equipmentFile = signal<NamedText | null>(null);
export const opening = signal<Work | null>(null);
export const analysing = signal<Work | null>(null);
export const run = signal<RunAnswer | null>(null);
export const editing = signal(true);
/** As the hand has them; the answer follows. */
export const marks = signal<MarkNow[]>([]);
export const following = signal(false);
export const lastFollowed_ms = signal<number | null>(null);
/** The device whose steps are shown. */
export const chosen = signal<string | null>(null);

let logFile: File | null = null;
export const hasLog = () => logFile !== null;
export const anyMoved = computed(() => marks.value.some((mark) => mark.time_s !== mark.given_s));

const askedNow = () => JSON.stringify([log.value?.id, runRequestOf(entries.value, marksFile.value, equipmentFile.value)]);
export const outdated = computed(() => run.value !== null && run.value.asked !== null && run.value.asked !== askedNow());

async function openLog(file: File) {
  const limit = about.value?.upload_limit_bytes ?? Infinity;
  opening.value?.stop();
  if (file.size > limit) {
    failure.value = {
      field: "recording", where: file.name, what: `it has ${size(file.size)}`, expected: `at most ${size(limit)} on the page`,
      remedy: "analyse it on the command line, which has no limit, or cut it into parts",
    };
    return;
  }
  logFile = file;
  const request = bringRecording(file, lines(entries.value.columns), (fraction) => {
    if (!opening.value) return;
    opening.value = { ...opening.value, fraction: fraction < 1 ? fraction : null,
      doing: fraction < 1 ? `${size(fraction * file.size)} of ${size(file.size)} brought over` : `reading ${size(file.size)}` };
  });
  opening.value = { what: file.name, doing: size(file.size), done: [], fraction: 0, since: Date.now(), stop: request.stop };
  try {
    log.value = await request.answer;
  } catch (trouble) {
    fail(trouble, "recording");
  }
  opening.value = null;
}

/**
 * Any of the three files, in any order; each takes the place of the one of its kind. The small ones
 * first: a long log takes a while to bring, and the run must not be started without its list.
 */
export async function take(files: Iterable<File>) {
  failure.value = null;
  const logs: File[] = [];
  for (const file of files) {
    const kind = kindOfFile(await file.slice(0, 8192).text());
    if (kind === "log") {
      logs.push(file);
      continue;
    }
    const text = { name: file.name, text: await file.text() };
    if (kind === "marks") marksFile.value = text;
    else equipmentFile.value = text;
  }
  for (const file of logs) await openLog(file);
}

export function openLogAgain() {
  if (logFile) void openLog(logFile);
}

export async function analyse() {
  failure.value = null;
  saidQuietly.value = "";
  const brought = log.value;
  if (!brought) {
    failure.value = {
      field: "recording", where: "", what: "No recording yet.",
      expected: "Expected a sensor log: a CSV file with time and three field columns.", remedy: "Choose it first, with its marks.",
    };
    return;
  }
  const request = runRequestOf(entries.value, marksFile.value, equipmentFile.value);
  if ("field" in request) {
    failure.value = { ...request, where: "", remedy: "Fill it in, then analyse." };
    return;
  }
  const asked = askedNow();
  analysing.value = { what: brought.name, doing: "waiting for its turn", done: [], fraction: 0, since: Date.now(), stop: () => {} };
  try {
    const { id } = await api.start(brought.id, request);
    analysing.value = { ...analysing.value, stop: () => void stopWork("disturbances", id).catch(() => {}) };
    const last = await followWork("disturbances", id, (news) => {
      if (analysing.value) analysing.value = furtherOn(analysing.value, news);
    });
    if (last.state === "done") {
      const [document, now] = await Promise.all([api.document(id), api.marks(id)]);
      marks.value = now;
      chosen.value = null;
      lastFollowed_ms.value = null;
      run.value = { id, version: 0, document, recording: brought, asked };
      editing.value = false;
    } else if (last.state === "failed" && last.error) {
      throw new Refused(last.error);
    } else {
      saidQuietly.value = "Stopped. Your entries and what was there are kept.";
    }
  } catch (trouble) {
    fail(trouble, "recording");
  }
  analysing.value = null;
}

/** An answer that is there already, as that of a live run. */
export async function openAnswer(recordingId: string, id: string) {
  failure.value = null;
  try {
    if (run.value?.id !== id) {
      const [document, now] = await Promise.all([api.document(id), api.marks(id)]);
      marks.value = now;
      chosen.value = null;
      lastFollowed_ms.value = null;
      run.value = { id, version: 0, document, recording: { id: recordingId, name: document.recording.file }, asked: null };
    }
    editing.value = false;
  } catch (trouble) {
    fail(trouble, "recording");
  }
}

const follow = latestOnly(async (asked: MarkNow[]) => {
  const of = run.value;
  if (!of) return;
  following.value = true;
  const since = performance.now();
  try {
    const document = await api.moveMarks(of.id, movedOnly(asked));
    if (run.value?.id === of.id) {
      run.value = { ...of, version: of.version + 1, document };
      lastFollowed_ms.value = performance.now() - since;
      if (failure.value?.field === "marks") failure.value = null;
    }
  } catch (trouble) {
    fail(trouble, "marks");
    if (failure.value) failure.value = { ...failure.value, field: "marks" };
  }
  following.value = false;
});

export function moveMark(index: number, time_s: number) {
  const document = run.value?.document;
  if (!document) return;
  marks.value = withMark(marks.value, index, time_s, document.recording.from_s, document.recording.to_s);
  follow(marks.value);
}

export function marksAsInFile() {
  marks.value = marks.value.map((mark) => ({ ...mark, time_s: mark.given_s }));
  follow(marks.value);
}

export const whatIfAnswer = signal<{ key: string; together: Combination } | null>(null);

/** What the devices do together; the answer stands under the same key as it was asked with. */
export const askWhatIf = latestOnly(async ({ key, id, on }: { key: string; id: string; on: string[] }) => {
  try {
    whatIfAnswer.value = { key, together: await api.whatIf(id, on) };
  } catch (trouble) {
    fail(trouble, "what-if");
  }
});
