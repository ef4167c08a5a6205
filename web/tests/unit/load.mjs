// SPDX-License-Identifier: Apache-2.0
// A TypeScript module of the page, as node can import it.
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { build } from "esbuild";

export const web = join(dirname(fileURLToPath(import.meta.url)), "../..");

export async function load(module) {
  const folder = mkdtempSync(join(tmpdir(), "quietnorth-unit-"));
  try {
    const outfile = join(folder, "module.mjs");
    await build({ absWorkingDir: web, entryPoints: [join("src", module)], outfile, bundle: true, format: "esm", platform: "node", logLevel: "error" });
    return await import(pathToFileURL(outfile).href);
  } finally {
    rmSync(folder, { recursive: true });
  }
}
