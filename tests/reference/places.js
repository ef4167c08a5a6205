// SPDX-License-Identifier: Apache-2.0
// Prints 500 random places and days with the field that the pinned package computes there:
//   node places.js NODE_MODULES > places.csv
"use strict";
const path = require("path");
const geomagnetism = require(path.resolve(process.argv[2], "geomagnetism"));

const kSeed = 20260514;
const kPlaces = 500;

// Mulberry32: small, seedable, the same on every machine.
let state = kSeed;
function random() {
  state = (state + 0x6d2b79f5) | 0;
  let t = Math.imul(state ^ (state >>> 15), 1 | state);
  t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
  return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
}

console.log("year,lat_deg,lon_deg,height_km,X_nT,Y_nT,Z_nT,H_nT,F_nT,I_deg,D_deg");
for (let k = 0; k < kPlaces; k++) {
  const lat = (Math.asin(2 * random() - 1) * 180) / Math.PI;  // even over the sphere
  const lon = 360 * random() - 180;
  const height = -1 + 851 * random() ** 3;  // most of them low, where aircraft are
  // The package ends its model on 2029-11-13, five years after it was announced.
  const date = new Date(Date.UTC(2025, 0, 1) + random() * (Date.UTC(2029, 10, 1) - Date.UTC(2025, 0, 1)));
  const model = geomagnetism.model(date);
  if (model.name !== "WMM-2025") throw new Error(`the package chose ${model.name}`);
  // The decimal year as the package counts it (365 days in every year), so that both sides
  // evaluate the same instant.
  const start = Date.UTC(date.getUTCFullYear());
  const year = date.getUTCFullYear() + (date.valueOf() - start) / (1000 * 3600 * 24 * 365);
  const p = model.point([lat, lon, height]);
  console.log([year, lat, lon, height, p.x, p.y, p.z, p.h, p.f, p.incl, p.decl].join(","));
}
