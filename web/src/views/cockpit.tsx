// SPDX-License-Identifier: Apache-2.0
// The page in the cockpit: one sentence, one large target, the second most likely answer smaller.
import { useEffect } from "preact/hooks";
import type { RunButton } from "../api/run";
import { LiveTrace } from "../plots/live_trace";
import { SwingCurve } from "../plots/swing_curve";
import type { Shown } from "../state/after_taps";
import { keepAwake } from "../state/awake";
import { answer, follow, link, noted, recordingNow_s, second, shown } from "../state/live";
import { isAsked, opened, press, pressMain } from "../state/live_answers";
import { actOf } from "../state/live_keys";
import { prepareReload } from "../state/reload";
import type { Moment } from "../state/run_clock";
import { listenForTouch, sayAgain, sayNow } from "../state/voice";
import { ratesWords, underMain, waitLeft, waitPieces } from "../words/live_words";
import { Chooser } from "./cockpit_choose";
import { NoRun, Over, SwingEnd } from "./cockpit_ends";
import { PauseChoices } from "./cockpit_pause";
import { Strip } from "./cockpit_strip";
import { Words } from "./cockpit_words";
import { Target, momentOf } from "./live_target";
import { LookOn } from "./look_on";
import { ReadingEntry } from "./reading_entry";

const kGuess_s = 30;  // of a wait while the program cannot be asked

function Holding({ run }: { run: Shown }) {
  const here = second.value >= 0 && run.waitsSince_ms !== null ? (Date.now() - run.waitsSince_ms) / 1000 : recordingNow_s() - run.since_s;
  const wait_s = run.waitsSince_ms !== null ? kGuess_s : run.wait_s;
  const words = waitLeft(wait_s, here);
  const pieces = wait_s === null ? null : waitPieces(wait_s, here);
  return (
    <div class="holding">
      <p class="say">{run.phase === "unknown" ? (link.value === "up" ? "The program is being told." : "Nothing to do here until the link is back.") : <>{words.lead}<b>{words.figure}</b>{words.rest}</>}</p>
      {pieces && run.phase !== "unknown" && (
        <svg width="100%" height="9" aria-hidden="true">
          {Array.from({ length: pieces.all }, (_, i) => (
            <rect class={`scale ${i < pieces.over ? "tick-a" : i === pieces.over ? "now" : "tick-b"}`} x={`${(i / pieces.all) * 100}%`} y="1" width={`${100 / pieces.all}%`} height="7" />
          ))}
        </svg>
      )}
    </div>
  );
}

function Then({ run }: { run: Shown }) {
  useEffect(() => {
    // Said once the wait is likely over, as nobody else says it now.
    const since = run.waitsSince_ms ?? Date.now();
    const timer = setTimeout(() => { if (run.then) sayNow(run.then.sentence, "act"); }, Math.max(0, since + kGuess_s * 1000 - Date.now()));
    return () => clearTimeout(timer);
  }, []);
  return (
    <>
      <p class="thenwords">After that: {run.then?.sentence}</p>
      <Target class="press huge" act={(moment) => pressMain(run, moment)}>
        <span class="say">{run.then?.label}</span><span>tap as you do it; it is kept here</span>
      </Target>
    </>
  );
}

function Main({ run }: { run: Shown }) {
  if (run.main) {
    const main = run.main;
    return (
      <Target key={main.kind} class={`press huge ${noted.value ? "noted" : ""}`} disabled={noted.value} act={(moment) => pressMain(run, moment)}>
        <span class="say">{main.label}</span><span>{noted.value ? "noted" : underMain(main.kind, main.ago_s)}</span>
      </Target>
    );
  }
  return link.value !== "up" && run.phase === "wait" && run.then ? <><Holding run={run} /><Then run={run} /></> : <Holding run={run} />;
}

/** What is to be put back was there a moment ago. */
const goesBack = (run: Shown) => run.devices.find((device) => device.name === run.device)?.states[0] === run.state;

/** The answer that the program thinks the second most likely, and the further ones. */
function Answers({ run }: { run: Shown }) {
  const doubled = run.second && ["stop", "pause"].includes(run.second.kind);  // they stand in the strip
  const other = doubled ? null : run.second;
  const asks = run.phase === "ask";
  const late = other?.kind === "tap" && other.ago_s > 0;
  const then: RunButton | null = run.phase === "wait" && run.main === null && run.then ? { kind: "tap", ago_s: 0, ...run.then } : null;
  const about = then ?? (run.main?.kind === "tap" ? run.main : other);
  const open = (what: "late" | "another" | "more") => (moment: Moment) => { opened.value = { what, moment, asked: about }; };
  return (
    <>
      {other && (
        <Target key={other.kind} class="choice strong wide" act={(moment) => (late ? open("late")(moment) : press(run, other, moment))}>{other.label}</Target>
      )}
      <div class="further">
        {asks && run.main?.kind === "tap" && !late && run.main.ago_s === 0 && <Target class="choice" act={open("late")}>A few seconds ago</Target>}
        {asks && late && !goesBack(run) && run.procedure !== "swing" && !run.leave_out && <Target class="choice" act={(moment) => answer({ kind: "no_such_device", moment })}>No such device</Target>}
        {asks && <Target class="choice" act={open("another")}>{run.procedure === "swing" ? "On another mark" : "I did another one"}</Target>}
        {then && <Target class="choice" act={open("late")}>{then.label} already</Target>}
        {!asks && <Target class="choice" act={() => sayAgain()}>Say it again</Target>}
        <Target class="choice" act={open("more")}>More</Target>
      </div>
    </>
  );
}

function Act({ run }: { run: Shown }) {
  if (run.phase === "over") return <Over run={run} />;
  if (opened.value) return <Chooser run={run} opened={opened.value} />;
  const asked = run.number;
  if (asked && !run.main && !run.paused && (run.phase === "ask" || run.phase === "wait")) return <ReadingEntry run={run} asked={asked} />;
  return (
    <div class="act">
      <Main run={run} />
      {run.paused ? <PauseChoices /> : !run.must_acknowledge && <Answers run={run} />}
    </div>
  );
}

/** Of the compass in hand; of the first before one is. */
function Forming({ run }: { run: Shown }) {
  const all = run.swing?.compasses ?? [];
  const loads = run.number?.state.split(" ")[2] ?? "";
  const compass = all.find((one) => one.name === run.number?.device && one.loads === loads) ?? all[0];
  if (!compass?.readings.length) return null;
  const height = window.innerHeight < 760 ? 76 : window.innerHeight < 900 ? 150 : 220;
  return <SwingCurve compass={compass} height={height} />;
}

function useKeys() {
  useEffect(() => {
    const pressed = (event: KeyboardEvent) => {
      const run = shown.peek();
      if (!run || run.you !== "operate") return;
      const focus = document.activeElement;
      const act = actOf(event, {
        onTarget: focus instanceof HTMLButtonElement || focus instanceof HTMLAnchorElement,
        typing: focus instanceof HTMLInputElement, open: opened.peek() !== null,
      });
      if (!act) return;
      event.preventDefault();
      const moment = momentOf(event);
      if (act === "main") pressMain(run, moment);
      if (act === "repeat") sayAgain();
      if (act === "back") opened.value = null;
      if (act === "pause" && !run.paused && run.phase !== "over") answer({ kind: "pause", moment });
      if (act === "stop" && run.phase !== "over") answer({ kind: "stop", moment });
    };
    window.addEventListener("keydown", pressed);
    return () => window.removeEventListener("keydown", pressed);
  }, []);
}

export function Cockpit() {
  useEffect(() => {
    void prepareReload();
    const ends = [follow(), keepAwake(), listenForTouch()];
    return () => ends.forEach((end) => end());
  }, []);
  useKeys();
  const run = shown.value;
  const step = `${run?.step} ${run?.phase} ${run?.paused}`;
  // A choice that was open belongs to what was asked then.
  useEffect(() => { if (opened.value?.what !== "typed") opened.value = null; }, [step]);
  useEffect(() => { if (link.value === "down") sayNow("The link is down. Go on; taps are kept here.", "down"); }, [link.value]);
  useEffect(() => { document.title = run ? `Step ${run.step} of ${run.steps} · Quietnorth` : "Live run · Quietnorth"; }, [run?.step, run?.steps]);
  if (!run) return <NoRun />;
  if (run.you === "look_on") return <LookOn run={run} />;
  if (run.phase === "over" && run.answer?.swing_id) return <SwingEnd id={run.answer.swing_id} />;
  isAsked(run);
  const rest = !run.must_acknowledge && run.phase !== "over";
  return (
    <div class="cockpit" data-phase={run.paused ? "paused" : run.phase} data-open={opened.value?.what ?? ""} data-asks={run.number && !run.main && !run.paused && !opened.value ? "number" : ""}>
      <Strip run={run} />
      <main class="stage" id="main">
        <Words run={run} />
        <Act run={run} />
        {run.procedure === "swing" && <Forming run={run} />}
        {rest && run.procedure !== "swing" && <LiveTrace note={link.value === "up" ? ratesWords(run.links) : "it stands still: the link is down"} />}
      </main>
    </div>
  );
}
