// SPDX-License-Identifier: Apache-2.0
import assert from "node:assert/strict";
import test from "node:test";
import { load } from "./load.mjs";

const s = await load("plots/scale.ts");

test("steps are 1, 2 or 5 times a power of ten", () => {
  assert.deepEqual([2.9, 7, 0.04, 360].map((range) => s.roundStep(range, 4)), [1, 2, 0.01, 100]);
  assert.equal(s.roundStep(0, 4), 1);
});

test("time is divided as clocks divide it", () => {
  assert.equal(s.clockStep(455, 8), 60);
  assert.equal(s.clockStep(100, 8), 15);
  assert.equal(s.clockStep(4, 8), 0.5);
  assert.equal(s.clockStep(100000, 8), 14400);
});

test("marks include both ends and no minus zero", () => {
  assert.deepEqual(s.marks(-1, 1, 0.5), [-1, -0.5, 0, 0.5, 1]);
  assert.ok(Object.is(s.marks(-1, 1, 1)[1], 0));
  assert.deepEqual([1, 0.5, 0.02].map(s.decimalsOf), [0, 1, 2]);
});
