// SPDX-License-Identifier: Apache-2.0
// Taps on their way. Each is kept in this browser before it is sent, with its own time, and goes
// over in order; a key makes sure that one sent twice counts once.
import { computed, signal } from "@preact/signals";
import type { AnswerKind, RunAnswer, RunView } from "../api/run";
import { keep, kept } from "./kept";
import type { Moment, Placed } from "./run_clock";

export interface KeptTap {
  key: string;
  run: number;
  kind: AnswerKind;
  moment: Moment;      // of the touch
  ago_s: number;       // so long before the touch it was
  at_s?: number;       // or the moment itself, where the program named it
  device?: string;
  state?: string;
  number?: number;     // of a reading
}

export const taps = signal<KeptTap[]>(kept<KeptTap[]>("taps", []));
export const keptCount = computed(() => taps.value.length);
/** Taps that could not be delivered any more, and why. */
export const undelivered = signal("");

let stored = true;

/** Another window of this browser may have changed the list meanwhile. */
function change(by: (list: KeptTap[]) => KeptTap[]) {
  const next = by(stored ? kept("taps", taps.value) : taps.value);
  taps.value = next;
  stored = keep("taps", next);
}

export function newKey(): string {
  const bytes = crypto.getRandomValues(new Uint8Array(12));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

export const put = (tap: KeptTap) => change((list) => [...list, tap]);
const remove = (key: string) => change((list) => list.filter((tap) => tap.key !== key));

/** As it is sent: the touch and the moment that is meant, on the recording's clock. */
export function answerOf(tap: KeptTap, at: Placed | null): RunAnswer {
  const answer: RunAnswer = { key: tap.key, kind: tap.kind };
  if (at) {
    const said = Math.max(0, at.said_s);
    answer.said_s = said;
    answer.clock_error_s = at.error_s;
    answer.at_s = Math.max(0, said - tap.ago_s);
  }
  if (tap.at_s !== undefined) answer.at_s = tap.at_s;
  if (tap.device !== undefined) answer.device = tap.device;
  if (tap.state) answer.state = tap.state;
  if (tap.number !== undefined) answer.number = tap.number;
  return answer;
}

export type Sent = { view: RunView } | "refused" | "later";

let delivering = false;

/**
 * Sends what is kept, oldest first, until one has to wait. Taps of another run are not given to
 * this one.
 */
export async function deliver(run: number, send: (tap: KeptTap) => Promise<Sent>, arrived: (view: RunView) => void) {
  if (delivering) return;
  delivering = true;
  try {
    for (let first = taps.value[0]; first; first = taps.value[0]) {
      if (first.run !== run) {
        undelivered.value = `A tap of run ${first.run} was not given to run ${run}.`;
        remove(first.key);
        continue;
      }
      const sent = await send(first);
      if (sent === "later") return;
      remove(first.key);
      if (sent === "refused") undelivered.value = "A tap was refused by the program; it is not counted.";
      else arrived(sent.view);
    }
  } finally {
    delivering = false;
  }
}
