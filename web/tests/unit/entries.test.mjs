// SPDX-License-Identifier: Apache-2.0
// From what is typed to what is asked, and from a refusal to the field it concerns.
import assert from "node:assert/strict";
import test from "node:test";
import { load } from "./load.mjs";

const e = await load("state/entries.ts");
const blank = e.entries.value;
const ask = (part, stations = null) => e.requestOf({ ...blank, ...part }, stations);
const place = { latitude: "−32,9", longitude: "-68.8", day: "2025-11-01" };

test("a place and a day are enough; a real minus and a decimal comma are understood", () => {
  assert.deepEqual(ask(place), { at: "-32.9,-68.8", on: "2025-11-01" });
  assert.equal(ask({ ...place, altitude: "1400" }).at, "-32.9,-68.8,1400");
});

test("what is missing is said, and where", () => {
  assert.equal(ask({}).field, "place");
  assert.equal(ask({ latitude: "1", longitude: "2" }).field, "day");
  assert.equal(ask({ source: "measured", horizontal: "20" }).field, "measured");
  assert.equal(ask({ ...place, limit: "two" }).field, "limit");
});

test("a measured field takes the place of place and day", () => {
  assert.deepEqual(ask({ ...place, source: "measured", horizontal: "20", vertical: "−43,5" }), { horizontal_uT: 20, vertical_uT: -43.5 });
});

test("every further entry has its key", () => {
  const all = ask({ ...place, motion: "swing", mounting: "90,0,0", slope: "0.3", deck: "0,2", accel: "down", limit: "2.5",
    basis: "own", headings: "1, 090\n\n2, 180", stationSigma: "1", northSigma: "0.2", aircraft: "Brindle" },
  { name: "s.csv", text: "station_deg\n0\n" });
  assert.deepEqual(all, { at: "-32.9,-68.8", on: "2025-11-01", motion: "swing", mount_deg: "90,0,0", slope_deg: "0.3", deck_deg: "0,2",
    accel_reads: "down", limit_deg: 2.5, limit_basis: "own", known_headings: ["1, 090", "2, 180"], station_sigma_deg: 1,
    north_sigma_deg: 0.2, aircraft: "Brindle", stations_csv: "station_deg\n0\n", stations_name: "s.csv" });
  assert.equal(ask({ ...place, mounting: "x=-y,y=x,z=z" }).mount, "x=-y,y=x,z=z");
});

test("a refusal goes beside its field", () => {
  for (const [where, field] of [["option --at", "place"], ["option '--on'", "day"], ["option '--limit-deg'", "limit"],
    ["option '--station-sigma-deg'", "stations"], ["option '--mount-deg'", "mounting"], ["option '--known-heading'", "headings"],
    ["stations.csv, line 9", "stations"], ["option --horizontal-uT", "measured"], ["tumble.csv, line 3, column 2", ""]]) {
    assert.equal(e.fieldOf(where), field, where);
  }
});
