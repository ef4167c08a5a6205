// SPDX-License-Identifier: Apache-2.0
// Prints the WMM2025 coefficients of the pinned package in the published COF layout, so that
// data/geomagnetic/WMM2025.COF can be rebuilt and compared:
//   node wmm_cof.js NODE_MODULES > WMM2025.COF
"use strict";
const path = require("path");
const model = require(path.resolve(process.argv[2], "geomagnetism", "data", "wmm-2025.json"));

const cell = (value, width) => value.toFixed(1).padStart(width);
const lines = ["    2025.0            WMM-2025     11/13/2024"];
for (let n = 1; n <= model.n_max; n++) {
  for (let m = 0; m <= n; m++) {
    const i = (n * (n + 1)) / 2 + m;  // the package's own order
    lines.push(
      String(n).padStart(3) + String(m).padStart(3) +
      cell(model.main_field_coeff_g[i], 10) + cell(model.main_field_coeff_h[i], 10) +
      cell(model.secular_var_coeff_g[i], 11) + cell(model.secular_var_coeff_h[i], 11));
  }
}
// The published file ends with two lines of nines, which older readers stop at.
lines.push("9".repeat(48), "9".repeat(48));
process.stdout.write(lines.join("\n") + "\n");
