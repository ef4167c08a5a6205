// SPDX-License-Identifier: Apache-2.0
// The document of docs/formats/disturbance-json.md, as far as the page shows it.
import type { Band, Triple, VerdictState } from "./fit_document";

export interface Verdict {
  state: VerdictState;
  limit_deg: number | null;
  basis: string | null;
  because: string;
  do_next: string;
}

export interface CurveAt {
  heading_deg: number;
  error_deg: number;
  error_95_deg: Band;
}

export interface Visit {
  from_s: number;
  to_s: number;
  worst_heading_error_deg: number;
  used: boolean;
  remark: string;
}

export interface StateEffect {
  state: string;
  field_uT: Triple;
  worst_heading_error_deg: number;
  worst_heading_error_95_deg: Band;
  worst_at_heading_deg: number;
  worst_tilted_deg: number;
  unproven: boolean;
  lower_bound: boolean;
  no_effect_seen: boolean;
  verdict: Verdict;
  visits: Visit[];
  curve: CurveAt[];
}

export interface DeviceEffect {
  name: string;
  kind: string;
  optional: boolean;
  repeats: number;
  states: StateEffect[];
  mark_times_s: number[];
  switch_times_s: (number | null)[];
  pulsing: { period_s: number; duty: number; peak_unproven: boolean } | null;
  remarks: string[];
}

export interface Combination {
  phase: string;
  devices: string[];
  field_uT: Triple;
  worst_heading_error_deg: number;
  worst_heading_error_95_deg: Band;
  worst_at_heading_deg: number;
  worst_subset: string[];
  worst_subset_error_deg: number;
  worst_subset_error_95_deg: Band;
  best_cure: string | null;
  after_best_cure_deg: number | null;
  verdict: Verdict;
  curve: CurveAt[];
}

export interface UnexplainedThing {
  from_s: number;
  to_s: number;
  kind: "step" | "pulse" | "train" | "spike";
  size_uT: Triple;
  worst_heading_error_deg: number;
  period_s: number | null;
  looks_like: string | null;
}

export interface RunTrace {
  time_s: number[];
  field_uT: Triple[];
  fit_uT: Triple[];
  rest_uT: Triple[];
  used: boolean[];
}

export interface DisturbanceDocument {
  schema: string;
  sentence: string;
  verdict: Verdict;
  recording: {
    file: string;
    sha256: string;
    place: string;
    day: string;
    aircraft: string;
    aircraft_heading_deg: number | null;
    from_s: number;
    to_s: number;
    samples: number;
  };
  marks: { file: string };
  equipment: { file: string } | null;
  earth: { F_uT: number; H_uT: number; Z_uT: number; dip_deg: number; source: string };
  noise: { white_uT: number; correlation_time_s: number; quantum_uT: number; drift_uT_per_min: number };
  limit_deg: number;
  limit_basis: string;
  common_delay_s: number;
  devices: DeviceEffect[];
  combinations: Combination[];
  all_on: { agree: boolean; difference_deg: number; difference_95_deg: Band } | null;
  unexplained: UnexplainedThing[];
  cure_order: string[];
  assumptions: string[];
  remarks: string[];
  trace: RunTrace;
}
