// SPDX-License-Identifier: Apache-2.0
// The page's types are those of api.yaml, and a change there is seen.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import test from "node:test";
import { parse } from "yaml";
import { contractPath, typesOf } from "../../tools/api_types.mjs";
import { load, web } from "./load.mjs";

const contract = parse(readFileSync(contractPath(), "utf8"));
const written = readFileSync(join(web, "src/api/types.ts"), "utf8");

test("the types in use are generated from the contract", () => {
  assert.equal(written, typesOf(contract));
});

test("a key that is added or becomes required changes them", () => {
  const added = structuredClone(contract);
  added.components.schemas.FitRequest.properties.colour = { type: "string" };
  assert.notEqual(written, typesOf(added));
  const required = structuredClone(contract);
  required.components.schemas.FitRequest.required = ["at"];
  assert.notEqual(written, typesOf(required));
});

test("the page asks only with keys of the contract", async () => {
  const { requestOf, entries } = await load("state/entries.ts");
  const full = Object.fromEntries(Object.keys(entries.value).map((key) => [key, "1"]));
  const asked = Object.keys(requestOf({ ...full, source: "measured", mounting: "x=y" }, { name: "n", text: "t" }));
  for (const key of asked) assert.ok(key in contract.components.schemas.FitRequest.properties, key);
});

test("a live run is begun with keys of the contract, and says what is missing", async () => {
  const { runStartOf, entries } = await load("state/entries.ts");
  const full = Object.fromEntries(Object.keys(entries.value).map((key) => [key, "1"]));
  for (const source of ["measured", "place"]) {
    const asked = runStartOf({ ...full, source }, ["udp:10110"], false);
    assert.deepEqual([asked.links, asked.go_on, asked.noise_uT, asked.turn], [["udp:10110"], false, 1, 1]);
    for (const key of Object.keys(asked)) assert.ok(key in contract.components.schemas.RunStart.properties, key);
  }
  assert.equal(runStartOf(full, [], false).field, "links");
  assert.deepEqual(runStartOf(full, [], true).links, [], "a run that goes on knows its links");
  const nowhere = { ...full, source: "place", latitude: "" };
  assert.equal(runStartOf(nowhere, ["typed"], false).field, "place");
  assert.equal(runStartOf(nowhere, ["typed"], true).go_on, true, "a run that goes on knows its place");
});

test("a swing is begun with keys of the contract, and a link belongs to a compass", async () => {
  const { runStartOf, entries } = await load("state/entries.ts");
  const swing = { ...entries.value, procedure: "swing", marks: "12", ways: "both", compasses: "standby:10; remote", loads: "off,on", hold: "20" };
  const asked = runStartOf(swing, [], false);
  assert.deepEqual(asked, { links: [], go_on: false, swing: 12, both_ways: true, compasses: ["standby:10", "remote"], loads: "off,on", hold_s: 20 });
  for (const key of Object.keys(runStartOf({ ...swing, fromLink: "remote", rounding: "0,5" }, ["udp:10110"], false))) assert.ok(key in contract.components.schemas.RunStart.properties, key);
  assert.equal(runStartOf(swing, ["udp:10110"], false).field, "from-link");
  assert.equal(runStartOf({ ...swing, fromLink: "remote" }, [], false).field, "from-link");
  assert.equal(runStartOf({ ...swing, compasses: " " }, [], false).field, "compasses");
  assert.equal(runStartOf(swing, [], true).swing, undefined, "a swing that goes on knows what it is");
});
