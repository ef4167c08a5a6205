// SPDX-License-Identifier: Apache-2.0
// The check in the air: what is asked, what is said, and where things stand in its drawing.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import test from "node:test";
import { parse } from "yaml";
import { contractPath } from "../../tools/api_types.mjs";
import { load } from "./load.mjs";

const { entries } = await load("state/entries.ts");
const q = await load("state/air_query.ts");
const w = await load("words/air_words.ts");
const places = await load("plots/velocity_places.ts");
const blank = entries.value;
const ask = (part) => q.airQueryOf({ ...blank, ...part });

const leg = (part) => ({ from_s: null, to_s: null, used: true, why_not: null, residual_deg: 0, name: "", indicated_deg: 0, track_deg: 0, groundspeed_kt: 100, true_heading_deg: 0, along_kt: 0, ...part });
const document = (part = {}) => ({
  sentence: "over; the largest deviation is 13.8 deg (95 %: -6.6 to 18.9) on 080.", flight: { file: "f.csv", kind: "legs", tracks_are: "true", variation_deg: 10 },
  wind_from_deg: 270, wind_from_north: "true", wind_kt: 20, wind_sigma_kt: [1, 1], wind_change_kt_per_hour: null, tas_kt: 100, tas_95_kt: [98, 102],
  combination: null, curve: [], legs: [], gross: [], gross_leg: null, suspects: [], next_legs_deg: [25, 359.7], next_legs_sigma_deg: { now: 3.7, with_them: 0.9 },
  worst_deviation_deg: 13.8, verdict: { state: "over", limit_deg: 5, limit_basis: "your own limit", because: "", do_next: "" }, remarks: [], ...part,
});

test("every key that is asked with stands in the contract, and every entry has its key", () => {
  const known = parse(readFileSync(contractPath(), "utf8")).paths["/api/air"].post.parameters.filter((one) => one.in === "query").map((one) => one.name);
  const filled = Object.fromEntries(Object.keys(blank).map((key) => [key, "1"]));
  const asked = new Set();
  for (const north of ["variation", "place"]) {
    const { query } = ask({ ...filled, north, tracks: "magnetic", day: "2026-05-14" });
    Object.keys(query).forEach((key) => asked.add(key));
  }
  assert.deepEqual([...asked].sort(), [...known].sort());
});

test("a plan asks with keys of the contract; airspeed and minutes are needed, and what is beside them said", () => {
  const known = parse(readFileSync(contractPath(), "utf8")).paths["/api/air/plan"].get.parameters.map((one) => one.name);
  const flown = { ...blank, planTas: "95", planMinutes: "24,5", planWindFrom: "240", planWind: "15", planLeg: "3", variation: "−2", aircraft: " Brindle ", tracks: "magnetic", sideslip: "4" };
  const { query } = q.planQueryOf(flown);
  assert.deepEqual(query, { variation_deg: "-2", tas_kt: "95", minutes: "24.5", wind_from_deg: "240", wind_kt: "15", leg_minutes: "3", aircraft: "Brindle" });
  for (const key of Object.keys(query)) assert.ok(known.includes(key), key);
  assert.equal(q.planQueryOf({ ...flown, planTas: "" }).field, "plan-tas");
  assert.equal(q.planQueryOf({ ...flown, planMinutes: " " }).field, "plan-minutes");
  assert.equal(q.planQueryOf({ ...flown, planWind: "much" }).field, "plan-wind");
  assert.equal(q.planQueryOf({ ...flown, north: "place" }).field, "place");
});

test("numbers as people type them; nothing typed asks nothing; what is no number is said at its field", () => {
  assert.deepEqual(ask({}), { query: {} });
  assert.deepEqual(ask({ variation: "−3,5", airLimit: "+5", tracks: "magnetic" }), { query: { tracks_are: "magnetic", variation_deg: "-3.5", limit_deg: "5" } });
  assert.equal(ask({ variation: "east" }).field, "variation");
  assert.equal(ask({ windSigma: "1..2" }).field, "flown");
  assert.equal(ask({ north: "place" }).field, "place");
  assert.equal(ask({ north: "place", latitude: "47", longitude: "8" }).field, "day");
  assert.deepEqual(ask({ north: "place", latitude: "47", longitude: "−8,5", day: "2026-05-14", variation: "3" }).query, { at: "47,-8.5", on: "2026-05-14" });
});

test("legs that are typed become the file that they would be", () => {
  const legs = [{ indicated: "003", track: "12,5", speed: "104" }, { indicated: "", track: " ", speed: "" }, { indicated: "", track: "95", speed: "121" }, { indicated: '9,1,"2', track: "1", speed: "2" }];
  assert.equal(q.legsCsv(legs), 'leg,indicated_deg,track_deg,groundspeed_kt\n1,003,12.5,104\n3,,95,121\n4,"9,1,""2",1,2\n');
  assert.equal(q.typedPlace("legs-as-typed.csv, line 3, column 3 (track_deg)", legs), "Leg 3, track");
  assert.equal(q.typedPlace("legs-as-typed.csv, line 2, column 2 (indicated_deg)", legs), "Leg 1, indicated");
  assert.equal(q.typedPlace("legs-as-typed.csv", legs), "The legs as typed");
  assert.equal(q.typedPlace("option --limit-deg", legs), "option --limit-deg");
});

test("a refusal of an option goes beside its field", async () => {
  const { fieldOf } = await load("state/entries.ts");
  for (const [where, field] of [["option --variation-deg", "variation"], ["request, key 'variation_sigma_deg'", "variation"], ["option --tracks-are", "tracks"],
    ["option --limit-deg", "limit"], ["option --least-leg-s", "flown"], ["option --tas-kt", "plan-tas"], ["option --minutes", "plan-minutes"], ["option --wind-kt", "plan-wind"], ["option --wind-sigma-kt", "flown"], ["request, key 'leg_minutes'", "plan-leg"], ["option --wind-change-kt-per-hour", "flown"], ["option --at", "place"], ["flight.csv, line 3", ""]]) {
    assert.equal(fieldOf(where), field, where);
  }
});

test("the program's sentences with signs for their letters, the verdict's word once", () => {
  assert.equal(w.mainSentence(document()), "The largest deviation is 13.8° (95\u00a0%: −6.6 to 18.9) on 080.");
  assert.equal(w.airSentence("say --variation-deg V, or --at LAT,LON with --on DATE"), "Say the variation, or the place with the day.");
  assert.deepEqual(w.nextLegs(document()), ["025", "000"]);
  assert.match(w.nextLegsWords(document()), /known to 0\.9° instead of 3\.7°/);
  assert.equal(w.windWords(document()), "20.0 kt from 270 true");
  assert.equal(w.windWords(document({ wind_kt: null })), "not known");
  assert.equal(w.signed(0.04, 1), "0.0");
  assert.equal(w.signed(-0.04, 1), "0.0");
  assert.equal(w.signed(0.05, 1), "+0.1");
});

test("the drawing: north up, one scale, the ring about the wind, legs on it", () => {
  // Flown by hand: 100 kt in a wind of 20 kt from the west; tracks and speeds of the four quarters.
  const at = (e, n) => ({ track_deg: (Math.atan2(e, n) * 180 / Math.PI + 360) % 360, groundspeed_kt: Math.hypot(e, n) });
  const legs = [leg(at(20, 100)), leg(at(120, 0)), leg(at(20, -100)), leg(at(-80, 0))];
  const p = places.velocityPlaces(document({ legs }));
  assert.equal(p.north, "true");
  assert.ok(Math.abs(p.circle.at.x - p.origin.x - 20 * p.kt) < 1e-9 && Math.abs(p.circle.at.y - p.origin.y) < 1e-9, "the wind blows to the east");
  for (const one of p.legs) assert.ok(Math.abs(Math.hypot(one.at.x - p.circle.at.x, one.at.y - p.circle.at.y) - p.circle.radius) < 1e-9);
  assert.ok(p.legs[0].at.y < p.legs[2].at.y, "north is up");
  assert.ok(p.legs[1].at.x > p.legs[3].at.x, "east is right");
  for (const spot of p.legs.flatMap((one) => [one.at, one.label])) assert.ok(spot.x > 0 && spot.x < 100 && spot.y > 0 && spot.y < 100);
});

test("magnetic tracks are turned to the wind's north where the variation is known", () => {
  const legs = [leg({ track_deg: 350 }), leg({ track_deg: 90 })];
  const turned = places.velocityPlaces(document({ legs, flight: { tracks_are: "magnetic", variation_deg: 10 } }));
  assert.equal(turned.north, "true");
  assert.ok(Math.abs(turned.legs[0].at.x - turned.origin.x) < 1e-9, "350 magnetic is 000 true");
  const unknown = places.velocityPlaces(document({ legs, flight: { tracks_are: "magnetic", variation_deg: null } }));
  assert.equal(unknown.north, "magnetic");
  assert.ok(unknown.legs[0].at.x < unknown.origin.x);
});

test("names never lie on one another or on a leg, also when all fly the same headings", () => {
  const legs = Array.from({ length: 12 }, (_, i) => leg({ track_deg: 90 * (i % 4) + (i > 3 ? 2 : 0) + (i > 7 ? 3 : 0) }));
  const p = places.velocityPlaces(document({ legs, wind_kt: 1 }));
  const spots = [...p.legs.map((one) => one.label), p.wind.label];
  spots.forEach((a, i) => spots.slice(0, i).forEach((b, k) => assert.ok(Math.hypot(a.x - b.x, a.y - b.y) > 4.5, `${i} on ${k}`)));
});

test("legs are told apart by use; stretches of a log that were none are left out", () => {
  const stretch = { from_s: 0, to_s: 60, used: false, why_not: "heading changed by 90 deg", residual_deg: null };
  const all = [stretch, leg({ from_s: 60, to_s: 180 }), { ...stretch, to_s: 10 }, leg({}), leg({ used: false, why_not: "neither", groundspeed_kt: 80, track_deg: null, name: "x" })];
  const told = places.numbered(document({ legs: all, suspects: [{ leg: 1 }] }));
  assert.deepEqual(told.map((one) => [one.name, one.use]), [["1", "used"], ["2", "doubtful"], ["x", "left"]]);
  assert.deepEqual(w.leftOut(document({ legs: all })).map(w.timesOf), ["00:00 to 01:00"]);
  assert.equal(w.factsOf(document({ legs: all })), "2 of 3 legs used. Deviation is magnetic minus indicated, east positive.");
});

test("without wind or legs there is a drawing of what there is, or none", () => {
  const none = places.velocityPlaces(document({ wind_kt: null, wind_from_deg: null, tas_kt: null, legs: [leg({ track_deg: 10 }), leg({ track_deg: 190 })] }));
  assert.equal(none.circle, null);
  assert.equal(none.wind, null);
  assert.equal(none.legs.length, 2);
  assert.equal(places.velocityPlaces(document({ legs: [] })).legs.length, 0);
});
