// SPDX-License-Identifier: Apache-2.0
// What is said aloud: the browser's own speech, or tones where there is no voice or none is wanted.
import { signal } from "@preact/signals";
import type { RunView } from "../api/run";
import { keep, kept } from "./kept";
import { playTones, type Tone, toneOf, wakeTones } from "./tones";

export const sounds = ["voice", "tones", "silent"] as const;
export type Sound = (typeof sounds)[number];

const before = kept<Sound>("sound", "voice");
export const sound = signal<Sound>(sounds.includes(before) ? before : "voice");
/** There is a voice on this device; without one, tones stand in for it. */
export const hasVoice = signal(false);
/** A browser makes no sound before the page was touched once. */
export const soundWaits = signal(false);
/** For those who are read to by the device: changes only when something has to be said. */
export const announced = signal("");

const kStartsWithin_ms = 1500;
let voice: SpeechSynthesisVoice | null = null;
let last: { text: string; tone: Tone } | null = null;
let lastSaid = "";

const speech = () => (typeof speechSynthesis === "undefined" ? null : speechSynthesis);

/** A voice of the device itself before one that needs a network. */
function chooseVoice() {
  const english = (speech()?.getVoices() ?? []).filter((one) => /^en\b/i.test(one.lang));
  const score = (one: SpeechSynthesisVoice) => (one.localService ? 2 : 0) + (/^en[-_]GB/i.test(one.lang) ? 1 : 0);
  voice = english.sort((a, b) => score(b) - score(a))[0] ?? null;
  hasVoice.value = voice !== null;
}

const touched = () => navigator.userActivation?.hasBeenActive ?? true;

function speak(text: string, tone: Tone) {
  const with_ = speech();
  if (!with_ || !voice) return playTones(tone);
  const words = new SpeechSynthesisUtterance(text);
  words.voice = voice;
  words.lang = voice.lang;
  words.rate = 0.95;
  let begun = false;
  words.onstart = () => { begun = true; };
  with_.cancel();
  with_.speak(words);
  // Some devices list a voice and then stay mute.
  setTimeout(() => { if (!begun && last?.text === text && sound.value === "voice") playTones(tone); }, kStartsWithin_ms);
}

export function sayNow(text: string, tone: Tone) {
  last = { text, tone };
  announced.value = text;
  if (sound.value === "silent" || !text) return;
  if (!touched()) {
    soundWaits.value = true;
    return;
  }
  navigator.vibrate?.(tone === "act" || tone === "noticed" ? [120] : [60]);
  if (sound.value === "tones") playTones(tone);
  else speak(text, tone);
}

export function sayAgain() {
  if (last) sayNow(last.text, last.tone);
}

/** Says what the program wants said, once for each number. */
export function prompted(view: RunView) {
  const number = `${view.run}:${view.say_number}`;
  if (view.you !== "operate" || number === lastSaid) return;
  lastSaid = number;
  sayNow(view.say, toneOf(view));
}

export function chooseSound(next: Sound) {
  sound.value = next;
  keep("sound", next);
  speech()?.cancel();
  sayAgain();
}

/** As long as a page speaks. The first touch wakes the sound, and what waited is said. */
export function listenForTouch(): () => void {
  chooseVoice();
  speech()?.addEventListener?.("voiceschanged", chooseVoice);
  const wake = () => {
    wakeTones();
    if (!soundWaits.value) return;
    soundWaits.value = false;
    setTimeout(sayAgain, 50);
  };
  window.addEventListener("pointerup", wake);
  window.addEventListener("keydown", wake);
  return () => {
    speech()?.removeEventListener?.("voiceschanged", chooseVoice);
    window.removeEventListener("pointerup", wake);
    window.removeEventListener("keydown", wake);
    speech()?.cancel();
  };
}
