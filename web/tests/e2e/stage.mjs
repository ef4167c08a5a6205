// SPDX-License-Identifier: Apache-2.0
// The real program and the real browser, and a watch over both: no message on the console, no
// request to anywhere else.
import assert from "node:assert/strict";
import { spawn } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before } from "node:test";
import { chromium } from "playwright-core";

const browserArguments = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
  "--disable-background-networking", "--disable-component-update", "--disable-sync"];

/** further: options of `serve` */
export async function startProgram(further = []) {
  const program = process.env.QN_PROGRAM;
  assert.ok(program, "QN_PROGRAM names the program to test");
  const child = spawn(program, ["serve", "--port", "0", ...further], { stdio: ["ignore", "pipe", "inherit"] });
  const address = await new Promise((resolve, reject) => {
    let said = "";
    child.stdout.on("data", (piece) => {
      said += piece;
      const found = /http:\/\/127\.0\.0\.1:\d+\//.exec(said);
      if (found) resolve(found[0]);
    });
    child.once("exit", (code) => reject(new Error(`the program ended with ${code}: ${said}`)));
  });
  const stop = () => new Promise((resolve) => {
    child.removeAllListeners("exit");
    child.once("exit", resolve);
    child.kill("SIGTERM");
  });
  return { address, stop };
}

/** workers  "block": no page of an earlier test comes back from a worker's keeping */
export async function startBrowser(workers = "block") {
  const profile = mkdtempSync(join(tmpdir(), "quietnorth-browser-"));
  const context = await chromium.launchPersistentContext(profile, {
    executablePath: process.env.QN_CHROMIUM ?? "/usr/bin/chromium", headless: true, args: browserArguments,
    acceptDownloads: true, reducedMotion: "reduce",
    serviceWorkers: workers,
  });
  return {
    context,
    stop: async () => {
      await context.close();
      rmSync(profile, { recursive: true, force: true, maxRetries: 5 });
    },
  };
}

/** A fresh page at that width; `watched.complaints` collects what must not happen. */
export async function openPage(context, address, { width = 1366, height = 768, theme = "paper", refusals = false } = {}) {
  const page = await context.newPage();
  await page.setViewportSize({ width, height });
  const complaints = [];
  page.on("console", (message) => {
    // The browser itself notes an answer of 400 there; that is no fault where one is expected.
    if (refusals && /status of 4\d\d/.test(message.text())) return;
    if (["error", "warning"].includes(message.type())) complaints.push(message.text());
  });
  page.on("pageerror", (error) => complaints.push(String(error)));
  page.on("request", (request) => {
    if (!request.url().startsWith(address) && !request.url().startsWith("blob:")) complaints.push(`request to ${request.url()}`);
  });
  await page.goto(address);
  await page.evaluate((name) => {
    localStorage.clear();
    localStorage.setItem("quietnorth.theme", JSON.stringify(name));
  }, theme);
  await page.reload();
  await page.waitForSelector("form");
  return { page, complaints };
}

/**
 * A folder, the program and the browser for one file of tests, and their end.
 *
 * make    what must be there before the program starts; given the folder
 * serve   further options of `serve`; given the folder
 * ready   what is asked of the program before the first test; given the stage
 * arrive  what brings a fresh page to where the tests begin
 */
export function onStage({ make = () => {}, serve = () => [], ready = async () => {}, arrive = async () => {} } = {}) {
  const folder = mkdtempSync(join(tmpdir(), "quietnorth-e2e-"));
  const stage = {
    folder,
    address: "",
    /** One test on a page of its own; nothing may be complained of. */
    on: async (how, act) => {
      const { page, complaints } = await openPage(stage.context, stage.address, how);
      try {
        await arrive(page);
        await act(page);
        // The tests' own tool blocks the worker, and says so; tests/unit/worker.test.mjs has it.
        assert.deepEqual(complaints.filter((text) => !text.includes("Service Worker registration blocked")), []);
      } finally {
        await page.close();
      }
    },
    /** What is saved by pressing that, with its name. */
    saved: async (page, target) => {
      const [download] = await Promise.all([page.waitForEvent("download"), target.click()]);
      const path = join(folder, download.suggestedFilename());
      await download.saveAs(path);
      return { name: download.suggestedFilename(), bytes: readFileSync(path) };
    },
  };
  let program, browser;
  before(async () => {
    await make(folder);
    [program, browser] = await Promise.all([startProgram(serve(folder)), startBrowser()]);
    Object.assign(stage, { address: program.address, context: browser.context });
    await ready(stage);
  });
  after(async () => {
    await browser?.stop();
    await program?.stop();
    rmSync(folder, { recursive: true, force: true });
  });
  return stage;
}

/** A sensor turned smoothly through all attitudes in the given field, with iron and noise of its own. */
export function tumbleLog(folder, H, Z, name = "tumble.csv") {
  let seed = 12345;
  const random = () => {
    seed = (Math.imul(seed, 1103515245) + 12345) & 0x7fffffff;
    return seed / 0x7fffffff;
  };
  const noise = () => 0.15 * (random() + random() + random() + random() - 2) * 1.7;
  const rows = ["time_s,field_x_uT,field_y_uT,field_z_uT"];
  for (let i = 0; i < 3000; i += 1) {
    const t = i / 20;
    const [yaw, pitch, roll] = [0.31 * t, 1.1 * Math.sin(0.17 * t), 0.23 * t];
    // North, east, down into the sensor's axes: yaw, then pitch, then roll.
    const [x1, y1] = [H * Math.cos(yaw), -H * Math.sin(yaw)];
    const [x2, z2] = [x1 * Math.cos(pitch) - Z * Math.sin(pitch), x1 * Math.sin(pitch) + Z * Math.cos(pitch)];
    const [y3, z3] = [y1 * Math.cos(roll) + z2 * Math.sin(roll), -y1 * Math.sin(roll) + z2 * Math.cos(roll)];
    rows.push([t.toFixed(2), x2 * 1.02 + 3.1 + noise(), y3 * 0.99 - 2.2 + noise(), z3 * 1.01 + 1.4 + noise()].map((v) => (typeof v === "number" ? v.toFixed(3) : v)).join(","));
  }
  const path = join(folder, name);
  writeFileSync(path, `${rows.join("\n")}\n`);
  return path;
}

export async function enterPlace(page, latitude = "47.05", longitude = "8.3", day = "2026-05-14") {
  await page.getByLabel("Latitude, °").fill(latitude);
  await page.getByLabel("Longitude, °").fill(longitude);
  await page.getByLabel("Day of the recording").fill(day);
}

export async function bring(page, log) {
  await page.locator("#recording").setInputFiles(log);
  await page.locator(".seen").waitFor();
}

export async function solve(page) {
  await page.getByRole("button", { name: "Solve the recording" }).click();
  await page.locator(".verdictbox").waitFor({ timeout: 60000 });
}
