// SPDX-License-Identifier: Apache-2.0
// How figures are set: the rules of the project's look (real minus, fixed decimals, no minus zero).
import assert from "node:assert/strict";
import test from "node:test";
import { load } from "./load.mjs";

const f = await load("words/figures.ts");

test("numbers have a real minus and never a minus zero", () => {
  assert.equal(f.fixed(-3.25, 1), "−3.3");
  assert.equal(f.fixed(-0.04, 1), "0.0");
  assert.equal(f.degrees(2), "2.0°");
  assert.equal(f.minus("from -3 to (-4), well-known"), "from −3 to (−4), well-known");
});

test("a band is said in words, and no effect as at most", () => {
  assert.equal(f.band([3.6, 4.1]), "3.6 to 4.1");
  assert.equal(f.band([0.04, 0.5], "°"), "at most 0.5°");
});

test("headings have three digits and end before 360", () => {
  assert.equal(f.heading(5), "005");
  assert.equal(f.heading(359.7), "000");
});

test("times read as clocks and as words", () => {
  assert.equal(f.clock(222), "03:42");
  assert.equal(f.clock(61.25, 0.1), "01:01.3");
  assert.equal(f.clock(59.96, 0.1), "01:00.0");
  assert.equal(f.clock(-5), "−00:05");
  assert.equal(f.span(455), "7 min 35 s");
  assert.equal(f.span(3840), "1 h 04 min");
  assert.equal(f.span(2.44), "2.4 s");
});

test("days are written out; what is no day stays", () => {
  assert.equal(f.day("2026-05-14"), "14 May 2026");
  assert.equal(f.day("soon"), "soon");
});

test("the figures in degrees of a sentence stand bold, and no others", () => {
  const bold = (text) => f.boldFigures(text).filter((part) => part.bold).map((part) => part.text);
  assert.deepEqual(bold("It is 4.4° to 6.1° wrong near 178, your limit is 3.0°."), ["4.4° to 6.1°", "3.0°"]);
  assert.deepEqual(bold("0.3 to 1.5° of 12 stations"), ["0.3 to 1.5°"]);
  assert.deepEqual(bold("nothing"), []);
  assert.equal(f.boldFigures("a 1.0° b").map((part) => part.text).join(""), "a 1.0° b");
});

test("options of the command line are named as fields of the page", () => {
  assert.equal(f.shown("give --stations or --known-heading; the sensor's axes"), "give a stations file or known headings; the sensor’s axes");
  assert.equal(f.sentence("the slope is -1"), "The slope is −1.");
});

test("large and small numbers keep their figures", () => {
  assert.equal(f.significant(0.0000123, 2), "1.2 × 10^−5");
  assert.equal(f.significant(-4768, 2), "−4768");
  assert.equal(f.significant(0, 3), "0");
  assert.equal(f.count(22743), "22\u202f743");
  assert.equal(f.size(475549), "476 kB");
});
