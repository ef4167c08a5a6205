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
