// SPDX-License-Identifier: Apache-2.0
// The document of docs/formats/sensor-fit-json.md, as far as the page shows it. Members that need a
// correction are null without one.

export type Band = [number, number];
export type Triple = [number, number, number];
export type VerdictState = "within" | "over" | "unproven";

export interface CurvePoint {
  heading_deg: number;
  before_deg: number;
  before_95_deg: Band;
  after_95_deg: Band;
}

export interface Residual {
  time_s: number;
  residual_uT: number;
  used: boolean;
}

export interface Coverage {
  columns: number;
  rows: number;
  counts: number[];
  filled_fraction: number;
  heading_arc_deg: number;
}

export interface StationMatch {
  station_deg: number;
  from_s: number | null;
  to_s: number | null;
  residual_deg: number | null;
}

export interface Forecast {
  bank_deg: number;
  pitch_deg: number;
  worst_95_deg: Band;
}

export interface FitDocument {
  schema: string;
  sentence: string;
  verdict: {
    state: VerdictState;
    limit_deg: number | null;
    basis: string | null;
    because: string;
    do_next: string;
  };
  program_version: string;
  recording: {
    file: string;
    sha256: string;
    place: string;
    day: string;
    aircraft: string;
    duration_s: number;
  };
  samples: { used: number; rejected: number; repaired: number };
  motion: "tumble" | "swing" | "stations";
  frame: "sensor" | "body";
  raw_unit: "uT" | "counts";
  earth: {
    F_uT: number;
    H_uT: number;
    Z_uT: number;
    dip_deg: number;
    declination_deg: number | null;
    source: string;
  };
  offset_raw: Triple | null;
  offset_uT: Triple | null;
  offset_sigma_uT: Triple | null;
  matrix: [Triple, Triple, Triple] | null;
  noise: { sigma_uT: number; correlation_time_s: number } | null;
  condition: number | null;
  heading_error_before_deg: { worst: number; at_heading_deg: number; worst_95_deg: Band } | null;
  heading_error_after_deg: { worst_95_deg: Band } | null;
  forecast: Forecast[] | null;
  curve: CurvePoint[] | null;
  coverage: Coverage;
  residuals: Residual[];
  stations: StationMatch[];
  unobserved: { name: string; consequence: string }[];
  assumptions: string[];
  notes: string[];
}
