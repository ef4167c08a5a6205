// SPDX-License-Identifier: Apache-2.0
// The answer of a swing on the page: which compass the sentence is about, what a misreading is called,
// and what a card is asked with.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import test from "node:test";
import { parse } from "yaml";
import { contractPath } from "../../tools/api_types.mjs";
import { load } from "./load.mjs";

const w = await load("words/swing_words.ts");
const { cardQueryOf } = await load("state/card_query.ts");
const { entries } = await load("state/entries.ts");

const compass = (name, state, loads = null) => ({ name, loads, verdict: { state, because: "the largest deviation is 5.1 deg (95 %: -3.2 to 6.5) on 125" } });

test("the sentence is about the worst compass, the first of several alike", () => {
  const of = (...compasses) => w.worstOf({ compasses })?.name;
  assert.equal(of(compass("standby", "within"), compass("remote", "unproven")), "remote");
  assert.equal(of(compass("standby", "unproven"), compass("remote", "over"), compass("third", "over")), "remote");
  assert.equal(of(compass("standby", "within"), compass("remote", "within")), "standby");
  assert.equal(of(), undefined);
  assert.equal(w.becauseOf(compass("standby", "within"), true), "The largest deviation is 5.1° (95\u00a0%: −3.2 to 6.5) on 125.");
  assert.match(w.becauseOf(compass("standby", "over", "on"), false), /^Standby, loads on: the largest/);
});

test("a misreading is told by mark and number, and whether it counted", () => {
  const doubt = { row: 7, station_deg: 210, indicated_deg: 198, expected_deg: 208.8, likely: "misread by 10", what: "" };
  assert.equal(w.misreadWords(doubt, true), "198 was read on 210, where the others foretell 209. Likely: misread by 10. It was left out.");
  assert.match(w.misreadWords(doubt, false), /Perhaps: misread by 10\. It was not left out: read this mark again\.$/);
});

test("a card is asked for with keys of the contract; what is empty is filled in by hand", () => {
  const known = parse(readFileSync(contractPath(), "utf8")).paths["/api/swings/{id}/card.pdf"].get.parameters.map((one) => one.name);
  assert.deepEqual(cardQueryOf(entries.value), {});
  const filled = Object.fromEntries(Object.keys(entries.value).map((key) => [key, "1"]));
  const asked = cardQueryOf(filled);
  assert.equal(Object.keys(asked).length, 7);
  for (const key of Object.keys(asked)) assert.ok(known.includes(key), key);
});
