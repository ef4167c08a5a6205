// SPDX-License-Identifier: Apache-2.0
// The answer of a swing that was led, as the program holds it.
import { signal } from "@preact/signals";
import { followWork } from "../api/client";
import { now } from "../api/run";
import type { SwingDocument } from "../api/swing_document";
import * as api from "../api/swings";
import { cardQueryOf } from "./card_query";
import { entries } from "./entries";
import { save, stemOf } from "./save_file";
import { failAt, failure } from "./session";

export interface SwingAnswer {
  id: string;
  document: SwingDocument;
  text: string;  // the document as it came
  finding: number;  // in the book; 0: not known any more
}

export const swing = signal<SwingAnswer | null>(null);

/** The number of its finding, while the run that it is of is still shown. */
async function findingOf(id: string): Promise<number> {
  try {
    const { answer } = await now();
    return answer?.swing_id === id ? answer.finding : 0;
  } catch {
    return 0;  // another run was begun since; the answer is no less good
  }
}

export async function openSwing(id: string) {
  if (swing.value?.id === id) return;
  failure.value = null;
  try {
    await followWork("swings", id, () => {});
    const [text, finding] = await Promise.all([api.document(id), findingOf(id)]);
    swing.value = { id, document: JSON.parse(text) as SwingDocument, text, finding };
  } catch (trouble) {
    failAt(trouble, "swing");
  }
}

/** A refusal stands beside the button, whatever it is about. */
async function saveAs(answer: SwingAnswer, what: "sheet" | "card", form: "pdf" | "svg", query: Record<string, string>) {
  failure.value = null;
  try {
    save(await api.sheet(answer.id, what, form, query), `${stemOf(answer.document.stations.file)}-${what}.${form}`);
  } catch (trouble) {
    failAt(trouble, "sheet");
  }
}

export const saveSwingSheet = (answer: SwingAnswer, form: "pdf" | "svg", paper: string) => saveAs(answer, "sheet", form, { paper });
export const saveCard = (answer: SwingAnswer, form: "pdf" | "svg", paper: string) => saveAs(answer, "card", form, { ...cardQueryOf(entries.value), paper });
export const saveNumbers = (answer: SwingAnswer) => save(new Blob([answer.text], { type: "application/json" }), `${stemOf(answer.document.stations.file)}-swing.json`);
