// SPDX-License-Identifier: Apache-2.0
// The further answers: how long ago, another device, and the rest. Whatever is chosen counts from the
// touch that opened the choice.
import { useState } from "preact/hooks";
import type { RunDevice } from "../api/run";
import type { Shown } from "../state/after_taps";
import { answer, type Said } from "../state/live";
import { meant, type Opened, opened } from "../state/live_answers";
import { sayAgain } from "../state/voice";
import { ago } from "../words/live_words";
import { Target } from "./live_target";
import { MendEntry } from "./reading_entry";
import { TypedEntry } from "./typed_entry";

const kAgo_s = [5, 10, 20];

const close = () => { opened.value = null; };
const give = (said: Said) => { answer(said); close(); };

function Back({ to = close }: { to?: () => void }) {
  return <Target class="choice back" act={to}>Back</Target>;
}

/** So many targets of 64 px, 12 px apart, as fit beside the strip, the words and the lowest row. */
function room(): { columns: number; rows: number } {
  const flat = window.innerHeight < 500;
  const rows = Math.floor((window.innerHeight - (flat ? 200 : 320) + 12) / 76);
  return { columns: flat && window.innerWidth >= 560 ? 4 : window.innerWidth >= 560 ? 3 : 2, rows: Math.max(1, Math.min(6, rows)) };
}

function WhichDevice({ devices, choose }: { devices: RunDevice[]; choose: (device: RunDevice) => void }) {
  const [from, setFrom] = useState(0);
  const { columns, rows } = room();
  const most = columns * rows;
  return (
    <div class="choosing">
      <p class="kicker">Which one was it?</p>
      <div class="grid" style={{ gridTemplateColumns: `repeat(${columns}, minmax(0, 1fr))` }}>
        {devices.slice(from, from + most).map((device) => <Target key={device.name} class="choice" act={() => choose(device)}>{device.name}</Target>)}
      </div>
      <div class="further">
        <Back />
        {devices.length > most && <Target class="choice" act={() => setFrom(from + most < devices.length ? from + most : 0)}>More devices</Target>}
      </div>
    </div>
  );
}

interface When {
  title: string;
  now: boolean;
  choose: (ago_s: number) => void;
  back: () => void;
}

function HowLongAgo({ title, now, choose, back }: When) {
  return (
    <div class="choosing">
      <p class="kicker">{title}</p>
      <div class="grid tall">
        {now && <Target class="choice strong" act={() => choose(0)}>As I touched</Target>}
        {kAgo_s.map((seconds) => <Target key={seconds} class="choice strong" act={() => choose(seconds)}>{ago(seconds)}</Target>)}
      </div>
      <div class="further"><Back to={back} /></div>
    </div>
  );
}

function Another({ run, moment }: { run: Shown; moment: Said["moment"] }) {
  const [device, setDevice] = useState<RunDevice | null>(null);
  const [state, setState] = useState("");
  if (!device) {
    return <WhichDevice devices={run.devices} choose={(one) => {
      const away = one.states.slice(1);  // the first is its reference
      setDevice(one);
      setState(away.length === 1 ? (away[0] ?? "") : "");
    }} />;
  }
  const away = device.states.slice(1);
  if (!state && away.length > 1) {
    return (
      <div class="choosing">
        <p class="kicker">{device.name}: where to?</p>
        <div class="grid tall">{away.map((one) => <Target key={one} class="choice strong" act={() => setState(one)}>{one}</Target>)}</div>
        <div class="further"><Back to={() => setDevice(null)} /></div>
      </div>
    );
  }
  return <HowLongAgo title={`${device.name} ${state}: when?`} now back={() => { setDevice(null); setState(""); }}
    choose={(ago_s) => give({ kind: "another", moment, ago_s, device: device.name, ...(state ? { state } : {}) })} />;
}

/** What is not among the answers that are shown already. */
function More({ run, moment }: { run: Shown; moment: Said["moment"] }) {
  const asks = run.phase === "ask";
  const offered = run.main?.kind === "tap" && run.main.ago_s > 0;
  const typed = run.links.some((link) => link.typed);
  const open = (what: "late" | "typed" | "mend" | "leave") => { opened.value = { what, moment, asked: run.main }; };
  return (
    <div class="choosing">
      <p class="kicker">More answers</p>
      <div class="grid">
        {asks && offered && <Target class="choice" act={() => open("late")}>A few seconds ago</Target>}
        {asks && offered && !run.leave_out && <Target class="choice" act={() => give({ kind: "no_such_device", moment })}>There is no such device</Target>}
        {asks && !offered && <Target class="choice" act={() => give({ kind: "not_yet", moment })}>Not yet</Target>}
        <Target class="choice" act={() => give({ kind: "again", moment })}>Once more later</Target>
        <Target class="choice" act={() => { sayAgain(); close(); }}>Say it again</Target>
        {typed && <Target class="choice" act={() => open("typed")}>Type a reading</Target>}
        {run.leave_out && <Target class="choice" act={() => open("leave")}>{run.leave_out.label}</Target>}
        {(run.swing?.compasses.length ?? 0) > 0 && <Target class="choice" act={() => open("mend")}>A reading was wrong</Target>}
      </div>
      <div class="further"><Back /></div>
    </div>
  );
}

/** Asked once more: it holds for both turns, and a finger may slip. */
function LeaveOut({ run, moment }: { run: Shown; moment: Said["moment"] }) {
  const asked = run.leave_out;
  if (!asked) return <div class="choosing"><p class="kicker">No mark is asked for now.</p><div class="further"><Back /></div></div>;
  return (
    <div class="choosing">
      <p class="kicker">Go on without mark {asked.device}?</p>
      <p>It is left out in both turns. To use it after all, stand on it and choose “On another mark”.</p>
      <div class="grid tall"><Target class="choice strong" act={() => give({ kind: asked.kind, moment, ...meant(asked) })}>Leave {asked.device} out</Target></div>
      <div class="further"><Back /></div>
    </div>
  );
}

const kMended = 4;

/** Which of the last readings was heard or typed wrong. */
function Mend({ run }: { run: Shown }) {
  const [which, setWhich] = useState<{ name: string; visit: string } | null>(null);
  if (which) return <MendEntry device={which.name} visit={which.visit} close={close} />;
  const read = (run.swing?.compasses ?? []).flatMap((compass) => compass.readings.map((r) => ({ name: compass.name, visit: r.visit, shown: r.indicated_deg })));
  return (
    <div class="choosing">
      <p class="kicker">Which reading was it?</p>
      <div class="grid tall">
        {read.slice(-kMended).reverse().map((one) => <Target key={one.name + one.visit} class="choice" act={() => setWhich(one)}>{one.name} on {one.visit.split(" ")[0]}: {one.shown}</Target>)}
      </div>
      <div class="further"><Back /></div>
    </div>
  );
}

export function Chooser({ run, opened: now }: { run: Shown; opened: Opened }) {
  switch (now.what) {
    case "late": return <HowLongAgo title="How long before you touched was it?" now={run.phase === "wait"} back={close} choose={(ago_s) => give({ kind: "tap", moment: now.moment, ago_s, ...meant(now.asked) })} />;
    case "another": return <Another run={run} moment={now.moment} />;
    case "more": return <More run={run} moment={now.moment} />;
    case "leave": return <LeaveOut run={run} moment={now.moment} />;
    case "mend": return <Mend run={run} />;
    case "typed": return <TypedEntry links={run.links.filter((link) => link.typed)} close={close} />;
  }
}
