// SPDX-License-Identifier: Apache-2.0
// The document of docs/formats/swing-json.md, as far as the page shows it.
import type { DeviationPoint, Five, FiveBands } from "./deviation_document";
import type { Band, VerdictState } from "./fit_document";

/** In the order of `rows` and `residuals_deg`. */
export interface SwingSeen {
  station_deg: number;
  indicated_deg: number;
  deviation_deg: number;
  turn: "cw" | "ccw" | null;
  used: boolean;
}

/** A reading that is wrong, or perhaps; `what` says it in words. */
export interface SwingDoubt {
  row: number;
  station_deg: number;
  indicated_deg: number;
  expected_deg: number;
  likely: string;
  /** The same for people; absent in documents of older programs. */
  cause?: string;
  what: string;
}

export interface SwingCompassDocument {
  name: string;
  /** `off`, `on`, or what was on by name: `pitot+strobe`. */
  loads: string | null;
  coefficients_deg: Five;
  sigma_deg: Five;
  coefficients_95_deg: FiveBands;
  worst_deviation_deg: number | null;
  worst_95_deg: Band | null;
  worst_at_deg: number | null;
  curve: DeviationPoint[];
  rows: number[];
  readings: SwingSeen[];
  residuals_deg: number[];
  gross: SwingDoubt[];
  suspects: SwingDoubt[];
  hysteresis_deg: number | null;
  model: { lack_of_fit_p: number | null; exact: boolean };
  remarks: string[];
  story: string[];
  verdict: { state: VerdictState; limit_deg: number | null; limit_basis: string | null; because: string; do_next: string };
}

export interface SwingDocument {
  schema: string;
  program_version: string;
  sentence: string;
  stations: { file: string; sha256: string; readings: number; left_out_deg?: number[] };
  aircraft: string;
  place: string;
  day: string;
  compasses: SwingCompassDocument[];
  /** What each state of the loads does, beside off; absent in documents of older programs. */
  loads_effects?: { sentence: string }[];
  how_read: string[];
  assumptions: string[];
}
