// SPDX-License-Identifier: Apache-2.0
// The parts of the live run: moments on the recording's clock, taps on their way, what is shown
// without the program, the trace, the words, the keys.
import assert from "node:assert/strict";
import test from "node:test";
import { load } from "./load.mjs";

const clock = await load("state/run_clock.ts");
const { afterTaps } = await load("state/after_taps.ts");
const box = await load("state/outbox.ts");
const lines = await load("state/live_trace.ts");
const words = await load("words/live_words.ts");
const { notes, toneOf } = await load("state/tones.ts");
const { actOf } = await load("state/live_keys.ts");

// The recording's clock shows wall time less 1000 s, and steady time plus 50 s.
const at = (seconds, life = "a") => ({ steady_ms: 1000 * seconds, wall_ms: 1000 * (seconds + 1050), life });
const anchor = (seconds, half_s = 0.01, life = "a") => ({ ...at(seconds, life), now_s: seconds + 50, half_s, speed: 1 });

test("of several round trips the shortest places the clock, and half of it is the uncertainty", () => {
  const best = clock.anchorFrom([
    { sent: at(0), back_ms: 80, now_s: 50.07, speed: 1 }, { sent: at(1), back_ms: 1010, now_s: 51.004, speed: 1 }, { sent: at(2), back_ms: 2050, now_s: 52.001, speed: 1 },
  ]);
  assert.equal(best.half_s, 0.005);
  assert.equal(best.steady_ms, 1005);
  assert.equal(best.now_s, 51.004);
  assert.equal(clock.anchorFrom([]), null);
});

test("a moment is placed by the measurement before it, and better with the one after it", () => {
  const alone = clock.placed(at(12), anchor(10), null);
  assert.ok(Math.abs(alone.said_s - 62) < 1e-9);
  assert.ok(alone.error_s >= 0.01 && alone.error_s < 0.0102);
  const both = clock.placed(at(12), anchor(10, 0.05), anchor(20, 0.004));
  assert.ok(Math.abs(both.said_s - 62) < 1e-9);
  assert.ok(both.error_s < 0.005, "the surer one decides");
  assert.equal(clock.placed(at(12), null, null), null);
});

test("a steady clock that stood still while the device slept is found out", () => {
  // Slept 100 s after the tap: the steady clock missed them, the wall clock did not.
  const after = { steady_ms: 20_000, wall_ms: 1000 * (20 + 1050 + 100), life: "a", now_s: 170, half_s: 0.01, speed: 1 };
  const placed = clock.placed(at(12), anchor(10), after);
  assert.ok(Math.abs(placed.said_s - 62) < 0.01, `${placed.said_s}`);
  assert.ok(placed.error_s < 0.03);
});

test("a wall clock that was set during the run changes nothing", () => {
  const after = { steady_ms: 20_000, wall_ms: 1000 * (20 + 1050) - 3_600_000, life: "a", now_s: 70, half_s: 0.01, speed: 1 };
  assert.ok(Math.abs(clock.placed(at(12), anchor(10), after).said_s - 62) < 0.01);
});

test("where no clock can be believed, the moment lies between and its uncertainty says so", () => {
  const after = { steady_ms: 21_000, wall_ms: 1000 * 1075, life: "a", now_s: 70, half_s: 0.01, speed: 1 };
  const placed = clock.placed(at(12), anchor(10), after);
  assert.ok(placed.said_s - placed.error_s <= 61.5 && placed.said_s + placed.error_s >= 61.99, JSON.stringify(placed));
  assert.ok(placed.error_s > 0.4);
});

test("a tap of the page before the reload is placed by the wall clock alone", () => {
  const placed = clock.placed(at(12, "before"), null, { ...anchor(1, 0.01, "now"), wall_ms: 1000 * 1070, now_s: 70 });
  assert.ok(Math.abs(placed.said_s - 62) < 1e-9);
});

test("a rehearsal's clock that runs three times as fast is followed", () => {
  const asked = (seconds, back_ms) => ({ sent: at(seconds), back_ms, now_s: 50 + 3 * (seconds + 0.01), speed: 3 });
  const before = clock.anchorFrom([asked(10, 10_020)]);
  assert.ok(Math.abs(before.half_s - 0.03) < 1e-9, "10 ms of a second are 30 ms of it");
  const after = clock.anchorFrom([asked(70, 70_020)]);
  // 40 s after the measurement, with none after it yet: the run has gone on by two minutes.
  for (const next of [null, after]) assert.ok(Math.abs(clock.placed(at(50), before, next).said_s - 200) < 0.05);
});

test("measurements on either side are found, also across a reload", () => {
  const list = [anchor(1), anchor(5), { ...anchor(2, 0.01, "b"), wall_ms: 1000 * 1070 }];
  assert.deepEqual(clock.around(at(6), list), [list[1], list[2]]);
  assert.deepEqual(clock.around(at(0), list), [null, list[0]]);
});

const view = {
  run: 4, phase: "ask", paused: false, stopped: false, sentence: "Switch A on.", main: { label: "It is on", kind: "tap", ago_s: 0 }, second: null,
  members: [], caution: "", held: "", must_acknowledge: false, wait_s: null, then: { sentence: "Switch A off.", label: "It is off" },
};
const tap = (kind, more = {}) => ({ key: `${Math.random()}`, run: 4, kind, moment: at(12), ago_s: 0, ...more });

test("without the program a tap leads to the wait, the next to what is not known", () => {
  const one = afterTaps(view, [tap("tap", { ago_s: 5 })]);
  assert.equal(one.phase, "wait");
  assert.equal(one.waitsSince_ms, at(12).wall_ms - 5000);
  assert.equal(one.then.label, "It is off");
  assert.equal(one.main, null);
  const two = afterTaps(view, [tap("tap"), tap("tap")]);
  assert.equal(two.phase, "unknown");
  assert.equal(two.then, null);
});

test("stop and pause take effect here at once, and taps of another run none", () => {
  assert.equal(afterTaps(view, [tap("stop")]).phase, "over");
  const paused = afterTaps(view, [tap("pause")]);
  assert.deepEqual([paused.paused, paused.main.kind], [true, "resume"]);
  assert.equal(afterTaps(view, [tap("stop", { run: 3 })]).phase, "ask");
  assert.equal(afterTaps(view, []).waitsSince_ms, null);
});

test("an answer carries its moment, the touch and the uncertainty; what the program saw keeps its own", () => {
  const placed = { said_s: 62, error_s: 0.02 };
  assert.deepEqual(box.answerOf({ ...tap("tap", { ago_s: 5 }), key: "k" }, placed), { key: "k", kind: "tap", said_s: 62, clock_error_s: 0.02, at_s: 57 });
  assert.equal(box.answerOf(tap("tap", { at_s: 40 }), placed).at_s, 40);
  assert.equal(box.answerOf(tap("tap", { ago_s: 90 }), placed).at_s, 0, "never before the recording");
  const other = box.answerOf(tap("another", { device: "Flaps", state: "half" }), null);
  assert.deepEqual([other.device, other.state, other.said_s], ["Flaps", "half", undefined]);
});

test("taps go over in order, wait where one has to wait, and are never given to another run", async () => {
  for (const key of ["1", "2", "3"]) box.put(tap("tap", { key, ...(key === "2" ? { run: 3 } : {}) }));
  const sent = [];
  const send = (answers) => async (one) => { sent.push(one.key); return answers.shift() ?? { view }; };
  await box.deliver(4, send(["later"]), () => {});
  assert.deepEqual(box.taps.value.map((one) => one.key), ["1", "2", "3"]);
  const arrived = [];
  await box.deliver(4, send([{ view }, "refused"]), (news) => arrived.push(news.run));
  assert.deepEqual(sent, ["1", "1", "3"]);
  assert.equal(box.keptCount.value, 0);
  assert.equal(arrived.length, 1);
  assert.match(box.undelivered.value, /refused/);
});

test("pieces of the trace that overlap are put together by time; older than two minutes goes", () => {
  const piece = (from, to, value) => {
    const time_s = Array.from({ length: Math.round((to - from) * 10) + 1 }, (_, i) => Math.round((from + i / 10) * 10) / 10);
    return { to_s: to, time_s, field_uT: [0, 1, 2].map((axis) => time_s.map(() => value + axis)) };
  };
  const joined = lines.mergeTrace(piece(0, 118, 1), piece(116, 121, 2));
  assert.equal(new Set(joined.time_s).size, joined.time_s.length, "no time twice");
  assert.ok(joined.time_s[0] > 0.99 && joined.time_s.at(-1) === 121);
  assert.equal(joined.field_uT[2].at(-1), 4);
  assert.equal(joined.field_uT[0].length, joined.time_s.length);
  assert.equal(lines.mergeTrace(joined, piece(5, 6, 9)).time_s.at(-1), 6, "a recording that begins anew");
  assert.equal(lines.mergeTrace(joined, { to_s: 125, time_s: [], field_uT: [[], [], []] }).to_s, 125);
});

test("each axis is drawn less its mean, with a break where something is missing", () => {
  const trace = { to_s: 60, time_s: [30, 30.1, 30.2, 50, 50.1], field_uT: [[1, 1, 1, 3, 3], [0, 0, 0, 0, 0], [9, 9, 9, 9, 9]] };
  const drawn = lines.linesOf(trace, 60);
  assert.deepEqual(drawn.axes[0].map((run) => run.length), [3, 2]);
  assert.ok(Math.abs(drawn.axes[0][0][0][1] - -0.8) < 1e-9);
  assert.equal(drawn.axes[0][0][0][0], 0.5);
  assert.equal(drawn.half_uT, 2);
  assert.equal(lines.heightFor(430), 500);
  assert.deepEqual(lines.linesOf({ to_s: 0, time_s: [], field_uT: [[], [], []] }, 60).axes, [[], [], []]);
});

test("time left and waits are said as estimates", () => {
  assert.equal(words.timeLeft(560, 1500), "9 to 25 min left");
  assert.equal(words.timeLeft(30, 80), "about a minute left");
  assert.equal(words.timeLeft(3000, 5000), "50 to 85 min left");
  assert.equal(words.waitLeft(22, 9).figure, "15 s");
  assert.equal(words.waitLeft(22, 19).figure, "A few seconds");
  assert.match(words.waitLeft(22, 40).lead, /longer than estimated/);
  assert.match(words.waitLeft(null, 3).rest, /long enough/);
  assert.deepEqual(words.waitPieces(22, 9), { all: 5, over: 2 });
  assert.equal(words.waitPieces(10, 60).over, 1, "never full before the program says so");
});

test("the link's trouble is said with what is kept and what to do", () => {
  assert.equal(words.linkDown(14, 2), "Link down for 14 s. Go on; 2 taps are kept here.");
  assert.equal(words.linkDown(14, 1), "Link down for 14 s. Go on; 1 tap is kept here.");
  const link = { number: 1, address: "udp:10110", alive: true, silent_s: 0, rate_Hz: 50, wrong: [], typed: false };
  assert.equal(words.linkTrouble([link]), "");
  assert.match(words.linkTrouble([{ ...link, wrong: ["no checksum"] }, { ...link, alive: false, silent_s: 6.2 }]), /silent for 6 s/);
  assert.equal(words.linkTrouble([{ ...link, alive: false, typed: true }]), "", "nobody types all the time");
  assert.equal(words.ratesWords([link]), "50 readings a second");
});

test("tones differ, and follow what is asked", () => {
  assert.equal(new Set(Object.values(notes).map((one) => JSON.stringify(one))).size, Object.keys(notes).length);
  const tone = (part) => toneOf({ phase: "ask", paused: false, must_acknowledge: false, held: "", main: { label: "", kind: "tap", ago_s: 0 }, ...part });
  assert.deepEqual([{}, { held: "Long enough." }, { main: null }, { must_acknowledge: true }, { main: { label: "", kind: "tap", ago_s: 6 } }, { phase: "over" }, { paused: true }].map(tone),
    ["act", "enough", "rest", "caution", "noticed", "over", "rest"]);
});

test("keyboard and clicker", () => {
  const free = { onTarget: false, typing: false, open: false };
  const key = (name, where = {}, more = {}) => actOf({ key: name, repeat: false, ctrlKey: false, altKey: false, metaKey: false, ...more }, { ...free, ...where });
  assert.deepEqual(["Enter", " ", "PageDown", "PageUp", "Escape", ".", "End", "q"].map((name) => key(name)), ["main", "main", "main", "repeat", "pause", "pause", "stop", null]);
  assert.equal(key("Enter", { onTarget: true }), null, "a focused target is pressed by itself");
  assert.equal(key("PageDown", { onTarget: true }), "main");
  assert.equal(key("Escape", { open: true }), "back");
  assert.equal(key("PageDown", { open: true }), null);
  assert.equal(key("Enter", {}, { repeat: true }), null, "a key that is held is one tap");
  assert.equal(key("PageDown", {}, { ctrlKey: true }), null, "the browser's own");
});

test("a number that is no heading is refused in words; a reading goes over with its number and its visit", () => {
  assert.equal(words.readingFault(""), "Nothing is typed yet.");
  assert.equal(words.readingFault("."), "Nothing is typed yet.");
  assert.match(words.readingFault("1.2.3"), /is not a number/);
  assert.match(words.readingFault("361"), /not above 360/);
  assert.equal(words.readingFault("360"), "");
  assert.equal(words.readingFault("007.5"), "");
  const answer = box.answerOf({ key: "k", run: 1, kind: "reading", moment: at(1), ago_s: 0, device: "standby", state: "120 cw", number: 127 }, null);
  assert.deepEqual(answer, { key: "k", kind: "reading", device: "standby", state: "120 cw", number: 127 });
  assert.equal("number" in box.answerOf({ key: "k", run: 1, kind: "tap", moment: at(1), ago_s: 0 }, null), false);
});

test("what the curve says so far is said with its band, and not before there is one", () => {
  const compass = { name: "standby", loads: "", readings: [{}, {}], solved: false, curve: [], worst_deg: 0, worst_at_deg: 0, worst_95_deg: [], limit_deg: null, doubts: [] };
  assert.equal(words.swingWords(compass), "standby: 2 readings; the curve begins with the third mark.");
  assert.equal(words.swingWords({ ...compass, loads: "on", readings: [{}, {}, {}], solved: true, worst_deg: 4.26, worst_at_deg: 90, worst_95_deg: [3, 5.51] }),
    "standby, loads on: 3 readings; largest deviation so far 4.3° (95 %: 3.0 to 5.5) on 090.");
});
