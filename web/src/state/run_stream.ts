// SPDX-License-Identifier: Apache-2.0
// The stream of a run, held open: connected again when it breaks, and watched for silence, as a
// radio link can die without saying so.
import { Refused } from "../api/client";
import * as api from "../api/run";
import type { RunView, Trace } from "../api/run";

/** opening: not heard yet; none: no run is going on; refused: this device may not; ended: the program stopped. */
export type LinkState = "opening" | "up" | "down" | "none" | "refused" | "ended";

export interface Heard {
  view: (view: RunView) => void;
  trace: (trace: Trace) => void;
  state: (state: LinkState) => void;
}

export interface Stream {
  close: () => void;
  /** Looks at once whether it still lives, as after sleep. */
  check: () => void;
}

const kProbeAfter_ms = 5000;    // of silence
const kReopenAfter_ms = 12_000; // although the program answers
const kProbeWaits_ms = 3000;
const waits_ms = [300, 700, 1500, 3000];
const kAskAgain_ms = 3000;

export function followRun(heard: Heard): Stream {
  let source: EventSource | null = null;
  let heardAt = performance.now();
  let failures = 0;
  let timer = 0;
  let closed = false;
  let probing = false;

  const later = (milliseconds: number) => {
    clearTimeout(timer);
    timer = window.setTimeout(open, milliseconds);
  };
  const word = () => {
    heardAt = performance.now();
    failures = 0;
  };
  const drop = () => {
    source?.close();
    source = null;
  };

  /** Why there is no stream: no run, not allowed, or no answer at all. */
  async function broken() {
    drop();
    let state: LinkState = "down";
    try {
      // It answers: then the page asks now and then until the stream is open again.
      heard.view(await api.now(AbortSignal.timeout(kProbeWaits_ms)));
      state = "up";
    } catch (trouble) {
      const status = trouble instanceof Refused ? trouble.status : 0;
      if (status === 404) state = "none";
      if (status === 401 || status === 403) state = "refused";
    }
    if (closed || source) return;
    heard.state(state);
    later(state === "none" || state === "refused" ? kAskAgain_ms : (waits_ms[Math.min(failures, waits_ms.length - 1)] ?? kAskAgain_ms));
    failures += 1;
  }

  function open() {
    if (closed) return;
    clearTimeout(timer);
    drop();
    heardAt = performance.now();
    const own = new EventSource(api.eventsAddress);
    source = own;
    const on = (name: string, act: (data: string) => void) =>
      own.addEventListener(name, (event) => {
        if (own !== source) return;
        word();
        act((event as MessageEvent<string>).data);
      });
    on("view", (data) => { heard.view(JSON.parse(data) as RunView); heard.state("up"); });
    on("trace", (data) => { heard.trace(JSON.parse(data) as Trace); heard.state("up"); });
    on("end", () => { drop(); heard.state("ended"); later(5000); });
    own.onerror = () => { if (own === source) void broken(); };
  }

  async function check() {
    if (closed || probing || !source) return;
    probing = true;
    try {
      await api.clock(AbortSignal.timeout(kProbeWaits_ms));
      if (performance.now() - heardAt > kReopenAfter_ms) open();
    } catch {
      if (performance.now() - heardAt > kProbeWaits_ms) void broken();
    }
    probing = false;
  }

  const watch = window.setInterval(() => {
    if (source && performance.now() - heardAt > kProbeAfter_ms) void check();
  }, 1000);
  const back = () => { if (source) void check(); else open(); };
  const gone = () => { if (source) void broken(); };
  window.addEventListener("online", back);
  window.addEventListener("offline", gone);
  open();
  return {
    close: () => {
      closed = true;
      clearTimeout(timer);
      clearInterval(watch);
      window.removeEventListener("online", back);
      window.removeEventListener("offline", gone);
      drop();
    },
    check: back,
  };
}
