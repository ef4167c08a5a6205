// SPDX-License-Identifier: Apache-2.0
// The words of a swing's answer. Rows of a file mean nothing to who read the compass on marks.
import type { SwingCompassDocument, SwingDocument, SwingDoubt } from "../api/swing_document";
import type { VerdictState } from "../api/fit_document";
import { airSentence } from "./air_words";
import { capital, heading } from "./figures";

export const swingSentence = (text: string) => airSentence(text.replace(/`([^`]*)`/g, "“$1”"));

export const nameOf = (compass: SwingCompassDocument) => `${compass.name}${compass.loads ? `, loads ${compass.loads}` : ""}`;

const rank: Record<VerdictState, number> = { over: 2, unproven: 1, within: 0 };

/** The compass that the sentence is about: the first of the worst. */
export const worstOf = (document: SwingDocument): SwingCompassDocument | undefined =>
  document.compasses.reduce<SwingCompassDocument | undefined>((worst, one) => (!worst || rank[one.verdict.state] > rank[worst.verdict.state] ? one : worst), undefined);

export const becauseOf = (compass: SwingCompassDocument, alone: boolean) =>
  swingSentence(alone ? capital(compass.verdict.because) : `${capital(nameOf(compass))}: ${compass.verdict.because}`);

/** What was read wrong, and what came of it. */
export function misreadWords(doubt: SwingDoubt, left: boolean): string {
  const sure = left ? "Likely" : "Perhaps";
  return `${heading(doubt.indicated_deg)} was read on ${heading(doubt.station_deg)}, where the others foretell ${heading(doubt.expected_deg)}. ${sure}: ${doubt.cause ?? doubt.likely}. ${left ? "It was left out." : "It was not left out: read this mark again."}`;
}

/** Marks on which nobody could stand; empty: there were none. */
export function leftOutWords(document: SwingDocument): string {
  const left = (document.stations.left_out_deg ?? []).map((deg) => heading(deg));
  return left.length ? `Not stood on: ${left.join(", ")}.` : "";
}
