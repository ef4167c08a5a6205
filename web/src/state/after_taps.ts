// SPDX-License-Identifier: Apache-2.0
// What is shown while taps are still on their way: the last word of the program, and what follows
// from the taps without it. Nothing is guessed beyond what the program itself announced.
import type { RunButton, RunView } from "../api/run";
import type { KeptTap } from "./outbox";

export type ShownPhase = RunView["phase"] | "unknown";

export interface Shown extends Omit<RunView, "phase"> {
  phase: ShownPhase;
  /** Since when the wait runs that this page began by itself; wall clock. */
  waitsSince_ms: number | null;
}

const kGoOn: RunButton = { label: "Go on", kind: "resume", ago_s: 0 };
const calm = { main: null, second: null, leave_out: null, number: null, caution: "", must_acknowledge: false, held: "", members: [] as string[] };

function waits(shown: Shown, tap: KeptTap): Shown {
  const then = shown.then;
  return {
    ...shown, ...calm, phase: "wait", wait_s: null, then, waitsSince_ms: tap.moment.wall_ms - 1000 * tap.ago_s,
    sentence: then ? "Kept. Leave it as it is for now." : "Kept. Leave everything as it is.",
  };
}

function unknown(shown: Shown, sentence: string): Shown {
  return { ...shown, ...calm, phase: "unknown", then: null, waitsSince_ms: null, sentence };
}

function after(shown: Shown, tap: KeptTap): Shown {
  switch (tap.kind) {
    case "stop":
      return { ...unknown(shown, "Stopped here. Put back what is on."), phase: "over", stopped: true };
    case "pause":
      return { ...shown, ...calm, paused: true, main: kGoOn, sentence: "Paused. Nothing is lost." };
    case "resume":
      return shown.paused ? { ...unknown(shown, "Going on. What comes next is not known here yet."), paused: false } : shown;
    case "tap":
      // The second tap of a pair answers what was announced; after it this page knows no more.
      if (shown.phase === "ask") return waits(shown, tap);
      return unknown(shown, "Kept. What comes next is not known here; leave everything at rest.");
    case "acknowledge": return unknown(shown, "Read. What comes next is not known here yet.");
    case "another": return unknown(shown, "Kept. Leave it as it is until the link is back.");
    case "no_such_device": return unknown(shown, "Kept: it is left out. What comes next is not known here yet.");
    case "not_yet": return unknown(shown, "Kept: it was not that. What comes next is not known here yet.");
    case "reading": return unknown(shown, `Kept: ${tap.number}. What comes next is not known here; leave the aircraft where it stands.`);
    case "again": return shown;
  }
}

/** The taps are of this run, in their order. */
export function afterTaps(view: RunView, taps: KeptTap[]): Shown {
  return taps.filter((tap) => tap.run === view.run).reduce(after, { ...view, waitsSince_ms: null });
}
