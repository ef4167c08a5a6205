// SPDX-License-Identifier: Apache-2.0
// Prints the rows of the official WMM2025 test table that the pinned package carries for its own
// tests, in our column order:
//   node table.js NODE_MODULES > table.csv
"use strict";
const fs = require("fs");
const path = require("path");

const file = path.resolve(process.argv[2], "geomagnetism", "test", "values.csv");
const [header, ...rows] = fs.readFileSync(file, "utf8").trim().split(/\r?\n/);
if (header !== "date,alt,lat,lon,x,y,z,h,f,incl,decl,gv") throw new Error(`columns: ${header}`);

console.log("year,lat_deg,lon_deg,height_km,X_nT,Y_nT,Z_nT,H_nT,F_nT,I_deg,D_deg");
for (const row of rows) {
  const [date, alt, lat, lon, ...values] = row.split(",");
  // gv, the last column, is 0 throughout these rows and says nothing.
  if (Number(date) >= 2025) console.log([date, lat, lon, alt, ...values.slice(0, 7)].join(","));
}
