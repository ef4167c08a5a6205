// SPDX-License-Identifier: Apache-2.0
// What the documents of a swing and of a check in the air have in common.
import type { Band } from "./fit_document";

export type Letter = "A" | "B" | "C" | "D" | "E";
/** What cannot be told is null. */
export type Five = Record<Letter, number | null>;
export type FiveBands = Record<Letter, Band | null>;

export interface DeviationPoint {
  indicated_deg: number;
  deviation_deg: number;
  lo: number;
  hi: number;
}
