// SPDX-License-Identifier: Apache-2.0
// The page of a run, loaded again while the program is gone, in the real browser.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { startFake, waiting } from "./fake_run_server.mjs";
import { startBrowser } from "./stage.mjs";

let fake, browser;

before(async () => {
  [fake, browser] = await Promise.all([startFake(), startBrowser("allow")]);
});

after(async () => {
  await browser?.stop();
  await fake?.stop();
});

test("loaded again without a network the page goes on, and its tap is delivered later", async () => {
  const page = await browser.context.newPage();
  page.setDefaultTimeout(60_000);
  await page.setViewportSize({ width: 360, height: 640 });
  fake.reset();
  await page.goto(`${fake.address}#/cockpit`);
  await page.getByRole("heading", { name: "Left landing light" }).waitFor();
  await page.evaluate(() => navigator.serviceWorker.ready.then(() => true));
  fake.lose();
  await page.reload();
  await page.getByRole("heading", { name: "Left landing light" }).waitFor();
  await page.getByText("Link down").waitFor();
  await page.waitForTimeout(300);  // a question has stood long enough to be answered by a hand
  await page.locator("button.press.huge").click();
  fake.comeBack();
  for (let i = 0; i < 600 && fake.answers.length === 0; i += 1) await page.waitForTimeout(50);
  assert.deepEqual(fake.answers.map((one) => [one.kind, one.device, one.state]), [["tap", "Left landing light", "on"]]);
  fake.show({ ...waiting, version: 900 });
  await page.close();
});
