// SPDX-License-Identifier: Apache-2.0
// What a touch means, and what it must not mean.
import { signal } from "@preact/signals";
import type { RunButton } from "../api/run";
import type { Shown } from "./after_taps";
import { answer, link, noted } from "./live";
import type { Moment } from "./run_clock";

/** What lies over the answers: choices that belong to one touch, made at that moment. */
export interface Opened {
  what: "late" | "another" | "more" | "typed" | "mend" | "leave";
  moment: Moment;
  asked: RunButton | null;
}
export const opened = signal<Opened | null>(null);

const kTooSoon_ms = 250;  // nobody answers a question sooner; that finger meant the one before

let asked = { question: "", since_ms: 0 };

const questionOf = (run: Shown) => `${run.phase} ${run.paused} ${run.step} ${run.main?.kind ?? ""} ${run.main?.label ?? ""} ${run.number?.again ?? ""} ${run.device} ${run.state}`;

/** Remembers since when this is asked. */
export function isAsked(run: Shown): number {
  const question = questionOf(run);
  if (asked.question !== question) asked = { question, since_ms: performance.now() };
  return performance.now() - asked.since_ms;
}

/** What an answer is meant for. */
export const meant = (button: { device?: string; state?: string } | null) => ({
  ...(button?.device ? { device: button.device } : {}), ...(button?.state ? { state: button.state } : {}),
});

export function press(run: Shown, button: RunButton, moment: Moment) {
  // What was seen by the program has a moment of its own; that of the hand does not matter.
  const at = button.kind === "tap" && button.ago_s > 0 ? { at_s: Math.max(0, run.now_s - button.ago_s) } : {};
  answer({ kind: button.kind, moment, ...at, ...(button.kind === "tap" ? meant(button) : {}) });
}

export function pressMain(run: Shown, moment: Moment) {
  if (run.main) {
    if (!noted.peek() && isAsked(run) >= kTooSoon_ms) press(run, run.main, moment);
  } else if (link.peek() !== "up" && run.phase === "wait" && run.then) {
    // Without the program: what it announced for after the wait.
    answer({ kind: "tap", moment, ...meant(run.then) });
  }
}
