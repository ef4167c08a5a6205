// SPDX-License-Identifier: Apache-2.0
// What the view of a disturbance run decides by itself: which file is which, which marks are moved,
// what is drawn, in which words.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import test from "node:test";
import { parse } from "yaml";
import { contractPath } from "../../tools/api_types.mjs";
import { load } from "./load.mjs";

const files = await load("state/run_files.ts");
const marking = await load("state/run_marks.ts");
const lines = await load("plots/run_lines.ts");
const words = await load("words/run_words.ts");
const bars = await load("plots/device_bars.tsx");
const curves = await load("plots/heading_curves.tsx");
const { latestOnly } = await load("state/latest.ts");
const { entries, runRequestOf } = await load("state/entries.ts");

test("the three files are told apart by their headers", () => {
  assert.equal(files.kindOfFile("# a comment, device\ntime_s,device,state\n1,Lamp,on\n"), "marks");
  assert.equal(files.kindOfFile("\uFEFF\"time_min\";\"device\";\"state\"\r\n"), "marks");
  assert.equal(files.kindOfFile("device,kind,states\nLamp,steady,off|on\n"), "equipment");
  assert.equal(files.kindOfFile("DEVICE\nLamp\n"), "equipment");
  assert.equal(files.kindOfFile("time_s,field_x_uT,field_y_uT,field_z_uT\n0,1,2,3\n"), "log");
  assert.equal(files.kindOfFile(""), "log");
});

const device = { name: "Trim", states: [{ state: "up" }, { state: "down" }] };
const mark = (index, given_s, name, state) => ({ index, device: name, state, time_s: given_s, given_s });
const marks = [mark(0, 50, "Trim", "up"), mark(1, 60, "Lamp", "on"), mark(2, 70, "trim", "neutral"), mark(3, 300, "Trim", "-1"), mark(4, 304, "Trim", "0")];

test("a device's marks make one piece for each time it was worked, with room around", () => {
  const pieces = marking.piecesOf(device, marks, 0, 310);
  assert.deepEqual(pieces.map((piece) => piece.marks.map((one) => one.index)), [[0, 2], [3, 4]]);
  assert.deepEqual([pieces[0].from_s, pieces[0].to_s], [38, 82]);
  assert.equal(pieces[1].to_s, 310, "not beyond the recording");
});

test("a moved mark stays inside the recording, and only moved ones are sent", () => {
  const moved = marking.withMark(marking.withMark(marks, 0, 51.23, 0, 310), 4, 999, 0, 310);
  assert.deepEqual(marking.movedOnly(moved), [{ index: 0, time_s: 51.2 }, { index: 4, time_s: 310 }]);
  assert.deepEqual(marking.piecesOf(device, moved, 0, 310)[0].from_s, 38, "the drawing stands still");
  assert.deepEqual(marking.movedOnly(marks), []);
  const odd = [mark(0, 44.78, "Trim", "up")];
  const away = marking.withMark(odd, 0, 45.28, 0, 310);
  assert.equal(away[0].time_s, 45.3);
  assert.deepEqual(marking.movedOnly(marking.withMark(away, 0, 44.78, 0, 310)), [], "back is exactly back");
});

test("a hand that is faster than the answers gets the newest next, none twice", async () => {
  const seen = [];
  const ends = [];
  const ask = latestOnly((n) => new Promise((end) => { seen.push(n); ends.push(end); }));
  [1, 2, 3].forEach(ask);
  assert.deepEqual(seen, [1]);
  ends[0]();
  await new Promise((end) => setTimeout(end, 5));
  assert.deepEqual(seen, [1, 3]);
});

test("a trace is drawn without its drift along one direction, with a point more on each side", () => {
  const trace = {
    time_s: [0, 1, 2, 3, 4], used: [true, true, false, true, true],
    rest_uT: [10, 11, 12, 13, 14].map((x) => [x, 5, 0]), fit_uT: [10, 13, 14, 13, 14].map((x) => [x, 5, 0]),
    field_uT: [10, 13.5, 14, 13, 14].map((x) => [x, 6, 9]),
  };
  const got = lines.linesAlong(trace, [1, 0, 0], 1.5, 2.5);
  assert.deepEqual(got.time_s, [1, 2, 3]);
  assert.deepEqual(got.data, [2.5, 2, 0]);
  assert.deepEqual(got.fit, [2, 2, 0]);
  assert.deepEqual(got.left, [0.5, 0, 0]);
  assert.deepEqual(got.used, [true, false, true]);
  assert.deepEqual(lines.alongGround([3, -4, 9]), [0.6, -0.8, 0]);
  assert.deepEqual(lines.alongGround([0, 0, 9]), [1, 0, 0]);
  const [low, high] = lines.roomFor([...Array(1000).fill(0), 500], [-1], 0.99);
  assert.ok(low < -1 && low > -1.2 && high < 1, "one spike does not flatten the rest");
});

const verdict = (state, do_next = "") => ({ state, limit_deg: 1, basis: "", because: "", do_next });
const effect = (name, hi, state = "within", more = {}) => ({
  name, kind: "steady", optional: false, repeats: 2, pulsing: null, remarks: [], mark_times_s: [], switch_times_s: [],
  states: [{ state: "on", worst_heading_error_deg: hi - 0.1, worst_heading_error_95_deg: [hi - 0.2, hi], worst_at_heading_deg: 130, lower_bound: false,
    no_effect_seen: false, unproven: false, visits: [], verdict: verdict(state, state === "unproven" ? "Work it again." : ""), ...more }],
});

test("what to do: cures in their order, then what is not decided", () => {
  const todo = words.whatToDo({
    cure_order: ["Lamp", "Pump"], combinations: [{ phase: "night", best_cure: "Lamp", after_best_cure_deg: 0.44 }],
    devices: [effect("Lamp", 4, "over"), effect("Flaps", 1.2, "unproven")],
  });
  assert.deepEqual(todo, [
    { lead: "Cure Lamp.", rest: "Night then is at 0.4°." },
    { lead: "Cure Pump.", rest: "Move it, its return wire, or the sensor." },
    { lead: "Flaps.", rest: "Work it again." },
  ]);
});

test("letters go on after z", () => {
  assert.deepEqual([0, 25, 26, 27, 52].map(words.letter), ["a", "z", "aa", "ab", "ba"]);
});

test("no effect has no figure of its own, and the worst state speaks for its device", () => {
  const trim = effect("trim", 2);
  trim.states.push({ ...trim.states[0], state: "down", worst_heading_error_95_deg: [2, 3] });
  const rows = bars.deviceRows({ devices: [trim, effect("Fan", 0.3, "within", { no_effect_seen: true })] });
  assert.equal(rows[0].name, "Trim, down");
  assert.equal("estimate" in rows[1], false);
  assert.match(rows[1].why, /quiet, or skipped/);
});

test("quiet devices stand back, never one that is over or not decided", () => {
  const rows = bars.deviceRows({ devices: Array.from({ length: 14 }, (_, i) => effect(`d${i}`, 0.9 - i / 20, i === 11 ? "unproven" : "within")) });
  assert.deepEqual(bars.quiet(rows).map((row) => row.id), ["d8", "d9", "d10", "d12", "d13"]);
  assert.ok(bars.longest(rows, 1) >= 1.6, "the limit line has room to its right");
});

test("a curve that runs over half a turn is not joined", () => {
  const at = (heading_deg, error_deg) => ({ heading_deg, error_deg, error_95_deg: [0, 0] });
  assert.deepEqual(curves.runsOf([at(0, 170), at(5, 179), at(10, -179), at(15, -170)]).map((run) => run.length), [2, 2]);
});

test("a run asks only with keys of the contract, and says what is missing", () => {
  const contract = parse(readFileSync(contractPath(), "utf8"));
  const full = Object.fromEntries(Object.keys(entries.value).map((key) => [key, "1"]));
  const file = { name: "n", text: "t" };
  for (const e of [{ ...full, source: "measured", mounting: "x=y" }, { ...full, source: "place" }]) {
    const asked = runRequestOf(e, file, file);
    for (const key of Object.keys(asked)) assert.ok(key in contract.components.schemas.DisturbanceRequest.properties, key);
    assert.equal(asked.aircraft_heading_deg, 1);
    assert.equal(asked.rigid, true);
  }
  assert.equal(runRequestOf(full, null, null).field, "recording");
  assert.equal(runRequestOf({ ...full, source: "measured", vertical: "" }, file, null).field, "measured");
  assert.equal(runRequestOf({ ...full, source: "place", stood: "north" }, file, null).field, "stood");
});
