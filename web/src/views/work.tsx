// SPDX-License-Identifier: Apache-2.0
// Work under way: nothing for 0.4 s, then what is being done, how far it is, and how to end it.
import { useEffect, useState } from "preact/hooks";
import type { Work } from "../state/session";
import { capital, span } from "../words/figures";

const PIECES = 24;

export function Strip({ fraction }: { fraction: number }) {
  const full = Math.min(PIECES - 1, Math.floor(fraction * PIECES));
  const at = (i: number) => `${(i / PIECES) * 100}%`;
  return (
    <svg width="100%" height="13" aria-hidden="true" class="strip">
      {Array.from({ length: PIECES }, (_, i) => (
        <rect class={`scale ${i < full ? "tick-a" : i === full ? "now" : "tick-b"}`} x={at(i)} y="2" width={`${100 / PIECES}%`} height="9" />
      ))}
    </svg>
  );
}

function useAfter(milliseconds: number): boolean {
  const [passed, setPassed] = useState(false);
  useEffect(() => {
    const timer = setTimeout(() => setPassed(true), milliseconds);
    return () => clearTimeout(timer);
  }, []);
  return passed;
}

/** Short work: one line and the strip. */
export function Opening({ work }: { work: Work }) {
  if (!useAfter(400)) return null;
  return (
    <div class="quiet" role="status">
      <h3>Opening {work.what}.</h3>
      <p>{capital(work.doing)}.</p>
      {work.fraction !== null && <Strip fraction={work.fraction} />}
      <button type="button" class="choice" onClick={work.stop}>Stop; keep what is there</button>
    </div>
  );
}

function timeLeft(work: Work, now: number): string {
  const gone = (now - work.since) / 1000;
  if (!work.fraction || work.fraction < 0.05 || gone < 1) return "not known yet";
  const left = (gone / work.fraction) * (1 - work.fraction);
  return left < 1 ? "a moment" : `about ${span(Math.ceil(left))}`;
}

export function Solving({ work }: { work: Work }) {
  const shown = useAfter(400);
  const [now, setNow] = useState(Date.now());
  useEffect(() => {
    const timer = setInterval(() => setNow(Date.now()), 500);
    return () => clearInterval(timer);
  }, []);
  if (!shown) return null;
  return (
    <div class="work">
      <h3>Solving {work.what}.</h3>
      <Strip fraction={work.fraction ?? 0} />
      <dl class="list">
        <div><dt>Done</dt><dd>{work.done.length ? work.done.map(capital).join(", ") : "nothing yet"}</dd></div>
        <div><dt>Now</dt><dd><span role="status">{capital(work.doing)}</span></dd></div>
        <div><dt>Left</dt><dd>{timeLeft(work, now)}</dd></div>
      </dl>
      <button type="button" class="choice" onClick={work.stop}>Stop; keep what is there</button>
    </div>
  );
}

