// SPDX-License-Identifier: Apache-2.0
// Generated from src/server/api.yaml by tools/api_types.mjs.

export interface Book {
  name: string;
  aircraft: string;
  devices: number;
  running: boolean;
  runs: BookRun[];
  ports: BookPort[];
}

export interface BookRun {
  id: number;
  procedure: string;
  started_utc: string;
  can_go_on: boolean;
}

export interface BookPort {
  address: string;
  what: string;
}

export interface RunStart {
  links?: string[];
  limit_deg?: number;
  noise_uT?: number;
  at?: string;
  on?: string;
  horizontal_uT?: number;
  vertical_uT?: number;
  aircraft_heading_deg?: number;
  go_on?: boolean;
  turn?: number;
  swing?: 8 | 12 | 16 | 24;
  both_ways?: boolean;
  compasses?: string[];
  from_link?: string;
  loads?: "off" | "on" | "off,on";
  hold_s?: number;
  rounding_deg?: number;
}

export interface RunClock {
  now_s: number;
  speed: number;
}

export interface RunAnswer {
  key: string;
  kind: "tap" | "not_yet" | "no_such_device" | "another" | "again" | "pause" | "resume" | "stop" | "acknowledge" | "reading";
  at_s?: number;
  said_s?: number;
  clock_error_s?: number;
  device?: string;
  state?: string;
  number?: number;
}

export interface TypedReading {
  line: string;
  link?: number;
}

/** Where the run is and what is to be shown and said (docs/formats/run-json.md) */
export interface RunView {
  schema: "quietnorth/run/1";
  run: number;
  procedure: "disturbance" | "sensor" | "swing";
  aircraft: string;
  version: number;
  now_s: number;
  started_utc: string;
  phase: "safety" | "first_rest" | "caution" | "ask" | "wait" | "over";
  paused: boolean;
  stopped: boolean;
  sentence: string;
  caution: string;
  must_acknowledge: boolean;
  main: RunButton | null;
  second: RunButton | null;
  leave_out: LeaveOut | null;
  number: AskedNumber | null;
  swing: RunSwing | null;
  members: string[];
  held: string;
  noticed: string;
  next: string;
  device: string;
  state: string;
  say: string;
  say_number: number;
  then: RunThen | null;
  step: number;
  steps: number;
  done: boolean[];
  least_left_s: number;
  most_left_s: number;
  since_s: number;
  asked_s: number;
  wait_s: number | null;
  devices: RunDevice[];
  links: RunLink[];
  kept_until_s: number;
  answer: RunResult | null;
  you: "operate" | "look_on";
}

/** What it is meant for goes along with the answer, so that a late one answers nothing else */
export interface RunButton {
  label: string;
  kind: "tap" | "not_yet" | "no_such_device" | "another" | "again" | "pause" | "resume" | "stop" | "acknowledge" | "reading";
  ago_s: number;
  device?: string;
  state?: string;
}

/** Beside main while a mark is asked for; sent back as it is, the run goes on without that mark */
export interface LeaveOut {
  label: string;
  kind: "no_such_device";
  device: string;
  state: string;
}

/** What will be asked after the wait */
export interface RunThen {
  sentence: string;
  label: string;
  device?: string;
  state?: string;
}

export interface RunDevice {
  name: string;
  states: string[];
}

export interface RunLink {
  number: number;
  address: string;
  alive: boolean;
  silent_s: number;
  rate_Hz: number;
  wrong: string[];
  typed: boolean;
}

/** The answer of a run; an id that is not its procedure's is empty */
export interface RunResult {
  state: "working" | "done" | "failed";
  error: ApiError | null;
  recording_id: string;
  disturbance_id: string;
  fit_id: string;
  swing_id: string;
  verdict: string;
  sentence: string;
  finding: number;
}

/** Ten points a second, means; x, y, z */
export interface Trace {
  to_s: number;
  time_s: number[];
  field_uT: [number[], number[], number[]];
}

/** A number is asked for, or will be after the wait and may be given before */
export interface AskedNumber {
  say: string;
  device: string;
  state: string;
  by_link: boolean;
  again: boolean;
}

export interface RunSwing {
  compasses: RunSwingCompass[];
}

export interface RunSwingCompass {
  name: string;
  loads: string;
  solved: boolean;
  readings: RunSwingReading[];
  curve: RunSwingPoint[];
  worst_deg: number;
  worst_at_deg: number;
  worst_95_deg: [number, number];
  limit_deg: number | null;
  doubts: string[];
}

export interface RunSwingReading {
  visit: string;
  station_deg: number;
  indicated_deg: number;
  deviation_deg: number;
  used: boolean;
  doubtful: boolean;
}

export interface RunSwingPoint {
  indicated_deg: number;
  deviation_deg: number;
  lo: number;
  hi: number;
}

/** Everything a person needs to act. */
export interface ApiError {
  what: string;
  where: string;
  expected: string;
  remedy: string;
}

export interface About {
  version: string;
  upload_limit_bytes: number;
  book: string;
  you: "operate" | "look_on";
}

export interface Kept {
  kept: string;
}

/** What `air plan` says (docs/formats/air-check-json.md); a sigma is 1 sigma */
export interface AirPlan {
  schema: "quietnorth/air-plan/1";
  program_version: string;
  tas_kt: number;
  wind_from_deg: number;
  wind_kt: number;
  minutes: number;
  leg_minutes: number;
  variation_deg: number | null;
  legs: PlannedLeg[];
  sigma_deg: FiveSigmas;
  curve_sigma_deg: number;
  even_curve_sigma_deg: number;
  wind_sigma_kt: number;
  cautions: string[];
  remarks: string[];
  assumptions: string[];
}

export interface PlannedLeg {
  indicated_deg: number;
  at_minute: number;
  track_deg: number;
  groundspeed_kt: number;
}

export interface FiveSigmas {
  A: number;
  B: number;
  C: number;
  D: number;
  E: number;
}

/** What the reader mended or left out. */
export interface Tally {
  rows: number;
  missing_cells: number;
  dropped_rows: number;
  duplicate_times: number;
  backward_times: number;
  gaps: number;
  longest_gap_s: number;
  median_interval_s: number;
  remarks: string[];
}

export interface Recording {
  id: string;
  name: string;
  samples: number;
  start_s: number;
  duration_s: number;
  rate_Hz: number;
  unit: "uT" | "counts";
  columns: string[];
  tally: Tally;
}

export interface Channel {
  min: number[];
  max: number[];
}

/** Piece i begins at time_s[i]; with every_sample it is one sample. */
export interface Series {
  from_s: number;
  to_s: number;
  every_sample: boolean;
  time_s: number[];
  x: Channel;
  y: Channel;
  z: Channel;
  size: Channel;
}

/** Texts as they are typed; each key has the meaning of the option of the same name. */
export interface FitRequest {
  at?: string;
  on?: string;
  horizontal_uT?: number;
  vertical_uT?: number;
  motion?: string;
  mount?: string;
  mount_deg?: string;
  slope_deg?: string;
  deck_deg?: string;
  accel_reads?: string;
  known_headings?: string[];
  station_sigma_deg?: number;
  north_sigma_deg?: number;
  limit_deg?: number;
  limit_basis?: string;
  aircraft?: string;
  stations_csv?: string;
  stations_name?: string;
}

/** Texts as they are typed; each key has the meaning of the option of the same name. The marks are needed. */
export interface DisturbanceRequest {
  at?: string;
  on?: string;
  horizontal_uT?: number;
  vertical_uT?: number;
  aircraft_heading_deg?: number;
  limit_deg?: number;
  limit_basis?: string;
  rigid?: boolean;
  mount?: string;
  mount_deg?: string;
  accel_reads?: string;
  heading_source?: string;
  aircraft?: string;
  marks_csv?: string;
  marks_name?: string;
  equipment_csv?: string;
  equipment_name?: string;
}

/** A mark; given_s is where the file has it. */
export interface MarkNow {
  index: number;
  device: string;
  state: string;
  time_s: number;
  given_s: number;
}

export interface MarkList {
  marks: MarkNow[];
}

export interface MovedMark {
  index: number;
  time_s: number;
}

export interface MovedMarks {
  moved: MovedMark[];
}

/** The devices that are on, by their names in the document. */
export interface WhatIfRequest {
  on: string[];
}

export interface FitStarted {
  id: string;
}

export interface FitNews {
  state: "waiting" | "working" | "done" | "failed" | "stopped";
  doing: string;
  fraction: number;
  error?: ApiError;
}

export interface Paired {
  id: string;
  name: string;
  role: "operate" | "look_on";
  since_utc: string;
  seen_s: number;
}

export interface Pairing {
  url: string;
  code: string;
  expires_s: number;
  qr_svg: string;
  fingerprint: string;
  paired: Paired[];
}

export interface PairingRequest {
  role: "operate" | "look_on";
}

export interface PairOrder {
  code: string;
  name: string;
}
