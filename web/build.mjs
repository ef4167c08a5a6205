// SPDX-License-Identifier: Apache-2.0
// Builds dist/: contract check, type check, one script, one style sheet. Ends with 1 when the page
// would be larger than its limit.
import { spawnSync } from "node:child_process";
import { copyFileSync, mkdirSync, readFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { gzipSync } from "node:zlib";
import { build } from "esbuild";

const kMostGzippedBytes = 150_000;
const web = dirname(fileURLToPath(import.meta.url));
const dist = join(web, "dist");

function run(...args) {
  const done = spawnSync(process.execPath, args, { cwd: web, stdio: "inherit" });
  if (done.status !== 0) process.exit(1);
}

run("tools/api_types.mjs", "--check");
run("node_modules/typescript/bin/tsc", "--project", "tsconfig.json");

mkdirSync(dist, { recursive: true });
await build({
  absWorkingDir: web,
  entryPoints: { app: "src/main.tsx", worker: "src/worker.js" },
  outdir: dist,
  bundle: true,
  minify: true,
  format: "esm",
  target: "es2020",
  charset: "utf8",
  legalComments: "none",
  jsx: "automatic",
  jsxImportSource: "preact",
  logLevel: "warning",
});
const files = ["app.js", "app.css", "worker.js"];
for (const name of ["index.html", "icon.svg"]) {
  copyFileSync(join(web, "src", name), join(dist, name));
  files.push(name);
}
const gzipped = files.reduce((sum, name) => sum + gzipSync(readFileSync(join(dist, name))).length, 0);
console.log(`page: ${(gzipped / 1000).toFixed(1)} kB gzipped of ${kMostGzippedBytes / 1000}`);
if (gzipped > kMostGzippedBytes) {
  console.error("The page is larger than its limit.");
  process.exit(1);
}
