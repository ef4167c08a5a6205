// SPDX-License-Identifier: Apache-2.0
// The sentence, the caution that belongs to it, and at most two things worth knowing now.
import type { Shown } from "../state/after_taps";
import { downSince_ms, link, second } from "../state/live";
import { keptCount, undelivered } from "../state/outbox";
import { announced, soundWaits } from "../state/voice";
import { boldFigures, shown as words } from "../words/figures";
import { PauseNotes } from "./cockpit_pause";
import { keptWords, linkDown, linkTrouble, sizeOf } from "../words/live_words";

const kMost = 2;

/** Quotation marks as they are printed. */
const quoted = (text: string) => words(text).replace(/"([^"]*)"/g, "“$1”");

/** The sentence with the device in hand bold, and figures where there is none. */
function Bold({ text, device }: { text: string; device: string }) {
  const at = device ? text.toLowerCase().indexOf(device.toLowerCase()) : -1;
  if (at < 0) return <>{boldFigures(quoted(text)).map((part) => (part.bold ? <b>{part.text}</b> : part.text))}</>;
  return <>{quoted(text.slice(0, at))}<b>{text.slice(at, at + device.length)}</b>{quoted(text.slice(at + device.length))}</>;
}

interface Line {
  text: string;
  look: "" | "off" | "trouble";
}

/** The most pressing first. */
export function linesOf(run: Shown): Line[] {
  const down = link.value !== "up" && downSince_ms.value !== null;
  const seconds = second.value >= 0 && downSince_ms.value !== null ? (Date.now() - downSince_ms.value) / 1000 : 0;
  const late = !down && keptCount.value > 0 && run.waitsSince_ms !== null;
  const all: Line[] = [
    { text: down ? (link.value === "refused" ? "This device is no longer paired; taps are not taken. Pair it again." : linkDown(seconds, keptCount.value)) : late ? keptWords(keptCount.value) : "", look: "off" },
    { text: linkTrouble(run.links), look: "trouble" },
    { text: run.noticed, look: "" },
    { text: run.members.length ? `${run.members.join(", ")}.` : "", look: "" },
    { text: run.held, look: "" },
    { text: undelivered.value, look: "" },
    { text: soundWaits.value && run.phase !== "over" ? "Touch the page once, and it speaks." : "", look: "" },
  ];
  return all.filter((line) => line.text).slice(0, kMost);
}

export function Words({ run }: { run: Shown }) {
  return (
    <div class="words">
      <h1 class={`say ${sizeOf(run.sentence)}`}><Bold text={run.sentence} device={run.device} /></h1>
      {run.caution && (
        <p class={`cautionbox ${run.caution.length > 320 ? "long" : ""}`} {...(run.must_acknowledge ? { tabIndex: 0, role: "group", "aria-label": "Caution" } : {})}>{words(run.caution)}</p>
      )}
      {linesOf(run).map((line) => <p class={`sub ${line.look}`} key={line.look + line.text.slice(0, 9)}>{words(line.text)}</p>)}
      {run.paused && run.phase !== "over" && <PauseNotes />}
      <p class="unseen" aria-live="assertive">{announced.value}</p>
    </div>
  );
}
