// SPDX-License-Identifier: Apache-2.0
// The document of docs/formats/air-check-json.md, as far as the page shows it. What the flight cannot
// tell is null.
import type { DeviationPoint, Five, FiveBands } from "./deviation_document";
import type { Band, VerdictState } from "./fit_document";

/** A leg by hand, or a stretch of a log; what is missing was never a leg. */
export interface AirLeg {
  from_s: number | null;
  to_s: number | null;
  used: boolean;
  why_not: string | null;
  residual_deg: number | null;
  observed_deviation_deg?: number | null;
  name?: string | null;
  indicated_deg?: number | null;
  track_deg?: number | null;
  groundspeed_kt?: number;
  true_heading_deg?: number | null;
  along_kt?: number | null;
}

/** A reading of a leg that is wrong; `leg` counts the legs that have a ground speed. */
export interface DoubtfulLeg {
  leg: number;
  reading: "heading" | "track" | "ground speed";
  read: number;
  expected: number;
  likely: string;
  probability: number;
  what: string;
}

export interface AirDocument {
  schema: string;
  program_version: string;
  sentence: string;
  flight: { file: string; sha256: string; kind: "legs" | "log"; tracks_are: "true" | "magnetic"; headings_are: "magnetic" | "true"; variation_deg: number | null };
  aircraft: string;
  place: string;
  day: string;
  wind_from_deg: number | null;
  wind_from_north: "true" | "magnetic";
  wind_kt: number | null;
  wind_sigma_kt: [number, number] | null;
  wind_change_kt_per_hour: [number, number] | null;
  tas_kt: number | null;
  tas_sigma_kt: number | null;
  tas_95_kt: Band | null;
  coefficients_deg: Five;
  sigma_deg: Five;
  coefficients_95_deg: FiveBands;
  combination: { of_D: number; of_E: number; value_deg: number; sigma_deg: number } | null;
  worst_deviation_deg: number | null;
  worst_95_deg: Band | null;
  worst_at_deg: number | null;
  curve: DeviationPoint[];
  model: { exact: boolean };
  legs: AirLeg[];
  gross: DoubtfulLeg[];  // set aside
  gross_leg: number | null;
  suspects: DoubtfulLeg[];  // one of these is probably wrong; all are used
  next_legs_deg: number[];
  next_legs_sigma_deg: { now: number; with_them: number } | null;
  cannot_prove: string[];
  verdict: { state: VerdictState; limit_deg: number | null; limit_basis: string | null; because: string; do_next: string };
  how_read: string[];
  assumptions: string[];
  remarks: string[];
}
