// SPDX-License-Identifier: Apache-2.0
// What can be set while the run is paused: sound, light, and what is worth knowing about this device.
import { screenStaysOn } from "../state/awake";
import { clockHalf_s } from "../state/live";
import { reloadWithoutNetwork, reloadWords } from "../state/reload";
import { choose, theme, themes } from "../state/theme";
import { chooseSound, hasVoice, sound, sounds } from "../state/voice";
import { capital, fixed } from "../words/figures";
import { Target } from "./live_target";

/** Beside the sentence. */
export function PauseNotes() {
  const clock = clockHalf_s.value;
  const notes = [
    sound.value === "voice" && !hasVoice.value ? "This device has no voice: tones stand in for it." : "",
    screenStaysOn.value === false ? "This browser cannot keep the screen on: set its timeout to never." : "",
    reloadWords[reloadWithoutNetwork.value],
    clock === null ? "" : `Taps are timed to ${fixed(Math.max(clock, 0.001), 3)} s.`,
  ];
  return (
    <>
      <p class="axis notes">{notes.filter(Boolean).join(" ")}</p>
      <p><a class="leave" href="#/begin">Leave this page; the run stays paused</a></p>
    </>
  );
}

const soundWords = { voice: "Voice", tones: "Tones", silent: "Silent" };

export function PauseChoices() {
  return (
    <div class="pausing">
      <div class="row3" role="group" aria-label="Sound">
        {sounds.map((one) => <Target key={one} class="choice" pressed={sound.value === one} act={() => chooseSound(one)}>{soundWords[one]}</Target>)}
      </div>
      <div class="row3" role="group" aria-label="Light">
        {themes.map((one) => <Target key={one} class="choice" pressed={theme.value === one} act={() => choose(one)}>{capital(one)}</Target>)}
      </div>
    </div>
  );
}
