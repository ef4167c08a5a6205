// SPDX-License-Identifier: Apache-2.0
// Tones that can be told apart without words: rising asks, falling is enough, level is a caution.
import type { RunView } from "../api/run";

export type Tone = "act" | "enough" | "rest" | "caution" | "noticed" | "over" | "down";

/** Each note: pitch in Hz, when it begins and how long it lasts, in seconds. */
export const notes: Record<Tone, [number, number, number][]> = {
  act: [[523, 0, 0.16], [784, 0.2, 0.3]],
  enough: [[784, 0, 0.16], [523, 0.2, 0.3]],
  rest: [[392, 0, 0.3]],
  caution: [[587, 0, 0.16], [587, 0.26, 0.16], [587, 0.52, 0.16]],
  noticed: [[440, 0, 0.12], [659, 0.16, 0.12], [440, 0.32, 0.2]],
  over: [[784, 0, 0.2], [659, 0.24, 0.2], [523, 0.48, 0.5]],
  down: [[262, 0, 0.35], [262, 0.5, 0.35]],
};

export function toneOf(view: Pick<RunView, "phase" | "paused" | "must_acknowledge" | "main" | "held">): Tone {
  if (view.phase === "over") return "over";
  if (view.must_acknowledge) return "caution";
  if (view.paused || !view.main) return "rest";
  if (view.main.ago_s > 0) return "noticed";
  return view.held ? "enough" : "act";
}

const kLoud = 0.5;
let context: AudioContext | null = null;

export function wakeTones() {
  if (typeof AudioContext === "undefined") return;
  context ??= new AudioContext();
  if (context.state === "suspended") void context.resume().catch(() => {});
}

export function playTones(tone: Tone) {
  wakeTones();
  const own = context;
  if (!own || own.state === "closed") return;
  for (const [pitch_Hz, begin_s, long_s] of notes[tone]) {
    const from = own.currentTime + 0.03 + begin_s;
    const source = own.createOscillator();
    const gain = own.createGain();
    source.type = "triangle";
    source.frequency.value = pitch_Hz;
    // Without a ramp at both ends it would click.
    gain.gain.setValueAtTime(0, from);
    gain.gain.linearRampToValueAtTime(kLoud, from + 0.02);
    gain.gain.setValueAtTime(kLoud, from + long_s - 0.04);
    gain.gain.linearRampToValueAtTime(0, from + long_s);
    source.connect(gain).connect(own.destination);
    source.start(from);
    source.stop(from + long_s + 0.02);
  }
}
