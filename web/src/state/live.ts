// SPDX-License-Identifier: Apache-2.0
// The live run as this device knows it: the program's last word, the link to it, and the answers given.
import { computed, signal } from "@preact/signals";
import { Refused } from "../api/client";
import * as api from "../api/run";
import type { AnswerKind, RunView, Trace } from "../api/run";
import { afterTaps, type Shown } from "./after_taps";
import { keep, kept } from "./kept";
import { mergeTrace } from "./live_trace";
import { answerOf, deliver, type KeptTap, newKey, put, type Sent, taps } from "./outbox";
import { type Anchor, around, type Moment, measure, momentAt, placed } from "./run_clock";
import { followRun, type LinkState, type Stream } from "./run_stream";
import { prompted } from "./voice";

export const view = signal<RunView | null>(null);
export const trace = signal<Trace | null>(null);
export const link = signal<LinkState>("opening");
export const downSince_ms = signal<number | null>(null);
/** Counts seconds, so that what depends on time is drawn anew. */
export const second = signal(0);

const kMeasureEvery_ms = 60_000;
const kKeepAnchors = 8;
const kOldView_ms = 12 * 3600_000;
let anchors: Anchor[] = [];
let measuring: Promise<void> | null = null;
let stream: Stream | null = null;

const kSoonAnswered_ms = 1500;

/** Taps that the page has to go on from by itself: the link is down, or an answer is late. */
const waiting = computed(() => {
  const late = second.value * 0 + Date.now() - kSoonAnswered_ms;  // looked at again each second
  return link.value === "up" ? taps.value.filter((tap) => tap.moment.wall_ms < late) : taps.value;
});
/** A tap was made a moment ago and the answer to it is not here. */
export const noted = computed(() => taps.value.length > waiting.value.length);
export const shown = computed<Shown | null>(() => (view.value ? afterTaps(view.value, waiting.value) : null));

/** The time of the recording, now, as well as this device knows it. */
export function recordingNow_s(): number {
  const here = momentAt(performance.now());
  return placed(here, anchors[anchors.length - 1] ?? null, null)?.said_s ?? view.value?.now_s ?? 0;
}

/** How well this device knows the recording's clock; null: not measured. */
export const clockHalf_s = signal<number | null>(null);

function measureClock(): Promise<void> {
  measuring ??= measure(() => api.clock(AbortSignal.timeout(3000)))
    .then((anchor) => {
      anchors = [...anchors, anchor].slice(-kKeepAnchors);
      clockHalf_s.value = anchor.half_s;
      keep("anchors", { run: view.value?.run ?? 0, anchors });
    })
    .catch(() => {})
    .finally(() => { measuring = null; });
  return measuring;
}

function take(news: RunView) {
  if (view.value?.run !== news.run) {
    const before = kept<{ run: number; anchors: Anchor[] }>("anchors", { run: 0, anchors: [] });
    anchors = before.run === news.run ? before.anchors : [];
    trace.value = null;
  }
  if (view.value?.version !== news.version) keep("live", { at_ms: Date.now(), view: news });
  view.value = news;
  prompted(news);
}

/** An answer may be older than what the stream has brought meanwhile. */
const takeIfNewer = (news: RunView) => {
  const now = view.value;
  if (!now || now.run !== news.run || news.version >= now.version) take(news);
};

async function send(tap: KeptTap): Promise<Sent> {
  try {
    const at = placed(tap.moment, ...around(tap.moment, anchors));
    return { view: await api.answer(answerOf(tap, at), AbortSignal.timeout(4000)) };
  } catch (trouble) {
    const status = trouble instanceof Refused ? trouble.status : 0;
    if (status === 0) stream?.check();
    // 404: that run is not going on, for now perhaps; after its end nothing is waited for.
    return status === 400 || (status === 404 && view.value?.phase === "over") ? "refused" : "later";
  }
}

const sendKept = () => (view.value && link.value === "up" && taps.value.length ? deliver(view.value.run, send, takeIfNewer) : Promise.resolve());

function linkIs(state: LinkState) {
  const before = link.value;
  if (state === "up" && before !== "up") {
    downSince_ms.value = null;
    link.value = state;
    void measureClock().then(sendKept);
    return;
  }
  if (state !== "up" && before !== state) {
    if (before === "up" || before === "opening") downSince_ms.value = Date.now();
    link.value = state;
  }
  // Loaded without a network: what was last known here, so that work can go on.
  if (state === "down" && !view.value) {
    const last = kept<{ at_ms: number; view: RunView } | null>("live", null);
    if (last && Date.now() - last.at_ms < kOldView_ms && last.view.phase !== "over") take(last.view);
  }
  if (state === "none") view.value = null;
}

export interface Said {
  kind: AnswerKind;
  moment: Moment;
  ago_s?: number;
  at_s?: number;
  device?: string;
  state?: string;
  number?: number;
}

export function answer({ ago_s = 0, ...said }: Said) {
  if (!view.value) return;
  put({ ...said, key: newKey(), run: view.value.run, ago_s });
  void sendKept();
}

/** As long as a page shows the run. */
export function follow(): () => void {
  stream = followRun({
    view: take,
    trace: (news) => { trace.value = mergeTrace(trace.value, news); },
    state: linkIs,
  });
  const seen = () => {
    if (document.visibilityState !== "visible") return;
    stream?.check();
    if (link.value === "up") void measureClock();
  };
  const ticks = window.setInterval(() => {
    second.value += 1;
    void sendKept();
  }, 1000);
  const measures = window.setInterval(() => { if (link.value === "up") void measureClock(); }, kMeasureEvery_ms);
  document.addEventListener("visibilitychange", seen);
  return () => {
    stream?.close();
    stream = null;
    link.value = "opening";
    clearInterval(ticks);
    clearInterval(measures);
    document.removeEventListener("visibilitychange", seen);
  };
}
