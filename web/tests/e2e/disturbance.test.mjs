// SPDX-License-Identifier: Apache-2.0
// A disturbance run on the page, in the real browser against the real program: the files of the
// project's own simulator, the answer, its steps, a mark moved, what if.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { lookAt, nothingSticksOut } from "./eyes.mjs";
import { onStage } from "./stage.mjs";

const widths = [[360, 740], [820, 1180], [1366, 768]];

const equipment = `device,kind,current_A,states,phases,optional
Landing light,steady,7.5,off|on,night|landing,
Pitot heat,steady,8,off|on,night,
Radio,steady,3,off|on,,
Cabin fan,motor,1,off|on,night,yes
`;

const stage = onStage({
  make: (folder) => {
    const list = join(folder, "list.csv");
    writeFileSync(list, equipment);
    execFileSync(process.env.QN_PROGRAM, ["disturb", "simulate", list, "--seed", "7", "--out", join(folder, "run")]);
  },
  arrive: async (page) => {
    await page.getByRole("link", { name: "Disturbance" }).click();
    await page.getByRole("heading", { name: "The run", exact: true }).waitFor();
  },
});
const { folder, on, saved } = stage;
const files = ["equipment.csv", "log.csv", "marks.csv"].map((name) => join(folder, "run", name));

async function bring(page, paths = files) {
  await page.locator("#recording").setInputFiles(paths);
  await page.getByText(/log\.csv: .* samples/).waitFor();
}

async function enter(page) {
  const truth = JSON.parse(readFileSync(join(folder, "run", "truth.json"), "utf8"));
  await page.getByLabel("Measured field").check();
  await page.getByLabel("H along the ground, µT").fill(String(truth.earth.H_uT));
  await page.getByLabel("Z downward, µT").fill(String(truth.earth.Z_uT));
}

async function answered(page) {
  await bring(page);
  await enter(page);
  await page.getByRole("button", { name: "Find what each device does" }).click();
  await page.locator(".verdictbox").waitFor({ timeout: 60000 });
}

const bar = (page, name) => page.locator(".bars.run button.row").filter({ hasText: name });

test("three files in any order are told apart, analysed and saved", () => on({}, async (page) => {
  await page.locator("#recording").setInputFiles(files[2]);
  await page.getByText(/marks\.csv: \d+ marks/).waitFor();
  await bring(page, [files[1], files[0]]);
  assert.match(await page.locator(".seen").innerText(), /equipment\.csv: 4 devices/);
  await enter(page);
  await page.getByRole("button", { name: "Find what each device does" }).click();
  await page.locator(".verdictbox").waitFor({ timeout: 60000 });
  assert.equal(await page.evaluate(() => document.activeElement.tagName), "H1", "the answer takes the focus");
  assert.match((await page.locator(".say-part .v").innerText()).trim(), /^(within|over|unproven)$/);
  for (const words of ["Each device, worst first", "Together, in each phase", "Over heading", "What to do, in this order", "Not explained by any mark", "The recording", "What if", "Found in the run", "Numbers"]) {
    await page.getByRole("heading", { name: words }).waitFor();
  }
  assert.equal(await page.locator("svg[role=img]:not([aria-label])").count(), 0);
  const numbers = await saved(page, page.getByRole("link", { name: "Numbers (JSON)" }));
  assert.equal(numbers.name, "log-disturbance.json");
  const document = JSON.parse(numbers.bytes);
  assert.equal(document.schema, "quietnorth/disturbance/1");
  // The page's order of bars is the document's: worst first.
  const shown = await page.locator(".bars.run").first().locator("button.row b").allInnerTexts();
  document.devices.slice(0, shown.length).forEach((device, i) => assert.match(shown[i], new RegExp(device.name)));
  assert.equal((await saved(page, page.getByRole("link", { name: "Save the sheet" }))).bytes.subarray(0, 5).toString(), "%PDF-");
  const marks = await saved(page, page.getByRole("link", { name: "Marks (CSV)" }));
  assert.equal(marks.name, "marks-corrected.csv");
}));

test("an answer opens by its address, as after a live run", () => on({}, async (page) => {
  await answered(page);
  const id = /disturbances\/([^/]+)\/sheet/.exec(await page.getByRole("link", { name: "Save the sheet" }).getAttribute("href"))[1];
  const sentence = await page.locator("main h1").innerText();
  await page.goto("about:blank");
  await page.goto(`${stage.address}#/disturbance/1/${id}`);
  await page.locator(".verdictbox").waitFor();
  assert.equal(await page.locator("main h1").innerText(), sentence);
  assert.equal(await page.getByRole("button", { name: "Analyse again" }).count(), 0, "the page has not its files");
}));

test("a bar shows its steps, a mark moves by keyboard and by hand, and the answer follows", () => on({}, async (page) => {
  await answered(page);
  await bar(page, "Landing light").focus();
  await page.keyboard.press("Enter");
  await page.getByRole("heading", { name: "Steps: Landing light" }).waitFor();
  assert.ok((await page.locator(".pieces figure").count()) >= 2, "each device is worked at least twice");
  assert.equal(await page.evaluate(() => document.activeElement.textContent), "Steps: Landing light");
  await page.keyboard.press("Tab");
  const handle = page.getByRole("slider").first();
  assert.equal(await handle.evaluate((own) => document.activeElement === own), true, "the first mark is next");
  const before = Number(await handle.getAttribute("aria-valuenow"));
  const follows = page.waitForResponse((answer) => answer.request().method() === "POST" && answer.url().endsWith("/marks"));
  await page.keyboard.press("ArrowRight");
  assert.equal(Number(await handle.getAttribute("aria-valuenow")), Math.round((before + 0.5) * 10) / 10);
  assert.match(await handle.innerText(), /\+0\.5 s/);
  assert.equal((await follows).status(), 200);
  await page.getByText("The answer follows your marks.").waitFor();
  const marks = await saved(page, page.getByRole("link", { name: "Marks as moved (CSV)" }));
  assert.match(marks.bytes.toString(), new RegExp(`^${Math.round((before + 0.5) * 10) / 10},Landing light`, "m"));

  await handle.scrollIntoViewIfNeeded();
  const box = await handle.boundingBox();
  const again = page.waitForResponse((answer) => answer.request().method() === "POST" && answer.url().endsWith("/marks"));
  await page.mouse.move(box.x + box.width / 2, box.y + 15);
  await page.mouse.down();
  await page.mouse.move(box.x + box.width / 2 + 60, box.y + 15, { steps: 4 });
  await page.mouse.up();
  await again;
  assert.ok(Number(await handle.getAttribute("aria-valuenow")) > before + 1.5, "dragged to later");
  await handle.press("Home");
  assert.equal(Number(await handle.getAttribute("aria-valuenow")), before);
  await page.getByRole("link", { name: "Marks (CSV)" }).waitFor();
  await page.getByRole("button", { name: "The whole recording" }).click();
  await page.getByRole("heading", { name: "The recording" }).waitFor();
}));

test("what if: a device switched off moves the phase's curve, and on again it is as it was", () => on({}, async (page) => {
  await answered(page);
  await bar(page, "Night").press("Enter");
  assert.equal(await page.getByLabel("Flight phase", { exact: true }).inputValue(), "night");
  assert.equal(await page.evaluate(() => document.activeElement.id), "phase");
  const said = page.locator("#what-if .answer");
  const whole = await said.innerText();
  assert.match(whole, /^With everything of night on: \d+\.\d°/);
  const curve = () => page.locator("#what-if path.ln.fit").getAttribute("d");
  const drawn = await curve();
  await page.getByRole("checkbox", { name: "Landing light" }).press("Space");
  await said.getByText(/With Landing light off/).waitFor();
  assert.match(await said.innerText(), /: \d+\.\d° at the worst heading .*; it was \d+\.\d°/);
  assert.notEqual(await curve(), drawn);
  await page.getByRole("checkbox", { name: "Landing light" }).press("Space");
  await said.getByText(/With everything of night on/).waitFor();
  assert.equal(await curve(), drawn);
}));

test("what is missing or wrong is said beside its field, and nothing is lost", () => on({ refusals: true }, async (page) => {
  const press = () => page.getByRole("button", { name: "Find what each device does" }).click();
  await press();
  await page.getByRole("alert").getByText("No recording yet.").waitFor();
  await bring(page, [files[1]]);
  await press();
  await page.getByRole("alert").getByText("No marks yet.").waitFor();
  const wrong = join(folder, "wrong.csv");
  writeFileSync(wrong, "time_s,device,state\n20,Toaster,on\n");
  await page.locator("#recording").setInputFiles([wrong, files[0]]);
  await page.getByText("wrong.csv: 1 mark").waitFor();
  await enter(page);
  await page.getByLabel("Heading it stood on").fill("400");
  await press();
  await page.getByRole("alert").getByText(/Heading it stood on: .*400/).waitFor();
  await page.getByLabel("Heading it stood on").fill("75");
  await press();
  const said = page.getByRole("alert");
  await said.getByText(/wrong\.csv, line 2/).waitFor({ timeout: 30000 });
  assert.match(await said.innerText(), /Toaster/);
  await lookAt(page, "refused run");
  await page.locator("#recording").setInputFiles([files[2]]);
  await page.getByText(/marks\.csv: \d+ marks/).waitFor();
  await press();
  await page.locator(".verdictbox").waitFor({ timeout: 60000 });
}));

test("the two views keep their own work, and the address tells them apart", () => on({}, async (page) => {
  await answered(page);
  await page.getByRole("link", { name: "Sensor fit" }).click();
  await page.getByRole("heading", { name: "The recording", exact: true }).waitFor();
  assert.match(page.url(), /#sensor$/);
  assert.equal(await page.getByRole("link", { name: "Sensor fit" }).getAttribute("aria-current"), "page");
  await page.goBack();
  await page.locator(".verdictbox").waitFor();
}));

// Themes change inks and nothing else: every size in one of them, the others once each.
for (const [theme, width, height] of [...widths.map((size) => ["paper", ...size]), ["sun", 820, 1180], ["night", 360, 740]]) {
  test(`${theme} at ${width} px: no rule broken, contrast 7, nothing sticks out, targets large`, () => on({ width, height, theme }, async (page) => {
    await page.getByText("More about how it was recorded").click();
    await lookAt(page, "entries");
    await answered(page);
    await lookAt(page, "answer");
    await bar(page, "Landing light").click();
    await page.getByRole("slider").first().press("ArrowRight");
    await page.getByText("The answer follows your marks.").waitFor();
    await page.getByRole("checkbox", { name: "Landing light" }).uncheck();
    await lookAt(page, "steps, a moved mark and what if");
    for (const table of await page.locator(".astable > summary").all()) await table.click();
    await nothingSticksOut(page, "with its tables");
  }));
}
