// SPDX-License-Identifier: Apache-2.0
// The live run, the aircraft book behind it, and the pairing of other devices: what is sent and asked.
import { ask, json } from "./client";
import type { ApiError, AskedNumber, Pairing, RunClock, RunSwing } from "./types";

export type { AskedNumber, Paired, Pairing, RunSwing, RunSwingCompass, RunSwingPoint, RunSwingReading } from "./types";

export interface BookRun {
  id: number;
  procedure: string;
  started_utc: string;
  can_go_on: boolean;
}

export interface Book {
  name: string;
  aircraft: string;
  devices: number;
  runs: BookRun[];
  ports: { address: string; what: string }[];
  running: boolean;
}

export interface RunStart {
  links: string[];
  limit_deg?: number;
  noise_uT?: number;
  at?: string;
  on?: string;
  horizontal_uT?: number;
  vertical_uT?: number;
  aircraft_heading_deg?: number;
  go_on: boolean;
  /** So many stations for a sensor fit; missing: the devices are worked. */
  turn?: number;
  /** So many marks of a swing; then the links may be none. */
  swing?: number;
  both_ways?: boolean;
  compasses?: string[];
  from_link?: string;
  loads?: "off" | "on" | "off,on";
  hold_s?: number;
  rounding_deg?: number;
}

export type AnswerKind =
  | "tap" | "not_yet" | "no_such_device" | "another" | "again" | "pause" | "resume" | "stop" | "acknowledge" | "reading";

export interface RunButton {
  label: string;
  kind: AnswerKind;
  ago_s: number;
  /** What it is meant for; goes along with the answer, so that a late one answers nothing else. */
  device?: string;
  state?: string;
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

export interface RunDevice {
  name: string;
  states: string[];
}

export interface RunResult {
  state: "working" | "done" | "failed";
  error: ApiError | null;
  recording_id: string;
  disturbance_id: string;
  fit_id?: string;
  verdict: string;
  sentence: string;
  finding: number;
}

export type Phase = "safety" | "first_rest" | "caution" | "ask" | "wait" | "over";
export type Role = "operate" | "look_on";

/** Where the run is and what is to be shown and said; version rises with every change. */
export interface RunView {
  schema: string;
  run: number;
  procedure: string;
  aircraft: string;
  version: number;
  now_s: number;
  started_utc: string;
  phase: Phase;
  paused: boolean;
  stopped: boolean;
  sentence: string;
  caution: string;
  must_acknowledge: boolean;
  main: RunButton | null;
  second: RunButton | null;
  /** A number is asked for, or will be after the wait and may be given before. */
  number?: AskedNumber | null;
  swing?: RunSwing | null;
  members: string[];
  held: string;
  noticed: string;
  next: string;
  device: string;
  state: string;
  say: string;
  say_number: number;
  then: { sentence: string; label: string; device?: string; state?: string } | null;
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
  you: Role;
}

/** Ten points a second, means; x, y, z. */
export interface Trace {
  to_s: number;
  time_s: number[];
  field_uT: [number[], number[], number[]];
}

/** One answer; the same key twice counts once. Times are on the recording's clock. */
export interface RunAnswer {
  key: string;
  kind: AnswerKind;
  at_s?: number;
  said_s?: number;
  clock_error_s?: number;
  device?: string;
  state?: string;
  number?: number;
}

const sent = (body: unknown, signal?: AbortSignal): RequestInit => ({
  method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body), ...(signal ? { signal } : {}),
});

export const eventsAddress = "/api/run/events";
export const book = () => json<Book>("/api/book");
export const start = (asked: RunStart) => json<RunView>("/api/runs", sent(asked));
export const now = (signal?: AbortSignal) => json<RunView>("/api/run", signal ? { signal } : {});
/** The program's own certificate, to be trusted by the device that asks. */
export const certificateAddress = "/api/certificate";
export const clock = (signal?: AbortSignal) => json<RunClock>("/api/run/clock", signal ? { signal } : {});
export const answer = (said: RunAnswer, signal?: AbortSignal) => json<RunView>("/api/run/answers", sent(said, signal));
export const typed = (line: string, link: number) => ask("/api/run/typed", sent({ link, line }));
export const pairing = () => json<Pairing>("/api/pairing");
export const newCode = (role: Role) => json<Pairing>("/api/pairing", sent({ role }));
export const revoke = (id: string) => ask(`/api/pairing/${encodeURIComponent(id)}`, { method: "DELETE" });
