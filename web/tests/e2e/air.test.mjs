// SPDX-License-Identifier: Apache-2.0
// The check in the air on the page, in the real browser against the real program: a flight of the
// project's own simulator, legs typed by the keyboard, a wrong one refused and mended.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { lookAt } from "./eyes.mjs";
import { onStage } from "./stage.mjs";

let variation;
const command = (...words) => execFileSync(process.env.QN_PROGRAM, ["air", ...words]);
const { folder, on, saved } = onStage({
  make: (folder) => {
    execFileSync(process.env.QN_PROGRAM, ["book", "new", join(folder, "brindle.qnbook"), "--aircraft", "Brindle"]);
    command("simulate", "--seed", "4", "--out", join(folder, "flight"));
    variation = JSON.parse(readFileSync(join(folder, "flight", "truth.json"), "utf8")).variation_deg.toFixed(1);
  },
  serve: (folder) => ["--book", join(folder, "brindle.qnbook")],
  arrive: async (page) => {
    await page.getByRole("link", { name: "Air check" }).click();
    await page.getByRole("heading", { name: "The flight", exact: true }).waitFor();
  },
});
const flight = (name) => join(folder, "flight", name);
const press = (page, name) => page.getByRole("button", { name });

async function solved(page, name, limit = "5") {
  await page.locator("#recording").setInputFiles(flight(name));
  await page.getByLabel("Variation, °", { exact: true }).first().fill(variation);
  await page.getByLabel("Limit of the display, °").fill(limit);
  await page.getByRole("button", { name: "Solve the flight" }).click();
  await page.locator(".verdictbox").waitFor({ timeout: 60000 });
}

test("a flight is brought, read and saved: the numbers are the command's, byte for byte", () => on({}, async (page) => {
  await lookAt(page, "entries");
  await solved(page, "flight.csv");
  const told = command("solve", flight("flight.csv"), "--variation-deg", variation, "--limit-deg", "5", "--json");
  const document = JSON.parse(told);
  assert.equal((await page.locator(".say-part .v").innerText()).trim(), document.verdict.state);
  assert.ok((await page.locator("h1 b").count()) > 0, "the sentence has its figures bold");
  assert.equal(await page.evaluate(() => globalThis.document.activeElement.tagName), "H1", "the answer takes the focus");
  for (const words of ["Velocity over the ground", "Wind and airspeed", "Largest deviation", "Deviation over heading", "Coefficients", "The legs", "Not used", "What this flight cannot prove", "Fly these, if you fly again"]) {
    await page.getByRole("heading", { name: words, exact: true }).waitFor();
  }
  const used = document.legs.filter((leg) => leg.used).length;
  assert.equal(await page.locator(".velocities .leg-disc").count(), used, "each used leg stands on the drawing");
  assert.equal(await page.locator(".leg-rows tbody tr").count(), used);
  assert.equal(await page.locator(".plot .reading").count(), used, "and on the curve");
  assert.match(await page.locator(".numbers").first().innerText(), new RegExp(`${document.wind_kt.toFixed(1)} kt from`));
  assert.deepEqual(await page.locator(".fly-heading").allInnerTexts(), document.next_legs_deg.map((deg) => String(Math.round(deg) % 360).padStart(3, "0")));
  await page.getByText("Not for navigation by this display until it agrees.").waitFor();
  // The truth of the simulator: the wind within four of its stated sigmas on each axis.
  const truth = JSON.parse(readFileSync(flight("truth.json"), "utf8"));
  const blows = [-document.wind_kt * Math.sin(document.wind_from_deg * Math.PI / 180), -document.wind_kt * Math.cos(document.wind_from_deg * Math.PI / 180)];
  blows.forEach((kt, i) => assert.ok(Math.abs(kt - truth.wind_to_kt[i]) < 4 * document.wind_sigma_kt[i] + 2, `wind ${i}: ${kt} for ${truth.wind_to_kt[i]}`));

  const numbers = await saved(page, press(page, "Numbers (JSON)"));
  assert.equal(numbers.name, "flight-air.json");
  assert.equal(`${numbers.bytes}\n`, told.toString());
  const sheet = await saved(page, press(page, "Save the sheet"));
  assert.equal(sheet.name, "flight-sheet.pdf");
  command("solve", flight("flight.csv"), "--variation-deg", variation, "--limit-deg", "5", "--sheet", join(folder, "own.pdf"));
  assert.ok(sheet.bytes.equals(readFileSync(join(folder, "own.pdf"))), "the sheet is the command's");
  assert.match((await saved(page, press(page, "Sheet as a drawing (SVG)"))).bytes.toString(), /<svg/);

  // Into the book, as the command would: the same finding, and the button is gone with it.
  await press(page, "Keep it in the book, brindle.qnbook").click();
  await page.getByText("Kept as finding 1 of brindle.qnbook.").waitFor();
  assert.equal(await press(page, "Keep it in the book").count(), 0);
  const book = JSON.parse(execFileSync(process.env.QN_PROGRAM, ["book", "show", join(folder, "brindle.qnbook"), "--json"]));
  assert.deepEqual(book.findings.map((one) => [one.command, one.verdict, one.sentence]), [["air solve", document.verdict.state, document.sentence]]);

  await page.getByRole("button", { name: "Solve again" }).click();
  await page.getByLabel("Limit of the display, °").fill("20");
  await page.getByText("stale").waitFor();
  await page.getByRole("button", { name: "Solve the flight" }).click();
  await page.getByText("limit 20.0°").first().waitFor();
}));

test("legs are typed by the keyboard alone; a wrong one is refused by its number, and mended", () => on({ width: 360, height: 740, refusals: true }, async (page) => {
  await page.getByLabel("Legs, typed").check();
  await page.getByLabel("Leg 1, heading shown").focus();
  for (const figure of ["003", "012", "104", "092", "095", "121", "400", "170", "102", "270", "268", "83"]) {
    await page.keyboard.type(figure);
    await page.keyboard.press("Enter");
  }
  await page.getByLabel("Leg 5, heading shown").waitFor();  // Enter after the last goes on to a new one
  await page.waitForFunction(() => document.activeElement.getAttribute("aria-label") === "Leg 5, heading shown");
  await page.getByLabel("Variation, °", { exact: true }).first().fill("−3,5");
  await page.getByRole("button", { name: "Solve the flight" }).click();
  const said = page.getByRole("alert");
  await said.waitFor();
  assert.match(await said.innerText(), /Leg 3, indicated: .*400/);
  assert.match(await said.innerText(), /Nothing was changed\./);
  await lookAt(page, "typed legs, one refused, at 360");
  await page.getByLabel("Leg 3, heading shown").fill("181");
  await page.keyboard.press("Tab");
  await page.getByRole("button", { name: "Solve the flight" }).click();
  await page.locator(".verdictbox").waitFor({ timeout: 60000 });
  assert.equal((await page.locator(".say-part .v").innerText()).trim(), "unproven");
  await page.getByText("not told by this flight").first().waitFor();
  await lookAt(page, "answer of typed legs at 360");
  await page.getByRole("button", { name: "Solve again" }).click();
  await page.reload();
  assert.equal(await page.getByLabel("Leg 3, heading shown").inputValue(), "181", "what was typed is kept");
}));

test("nothing is solved without a flight; a file that is none is refused in the command's words", () => on({ refusals: true }, async (page) => {
  await page.getByRole("button", { name: "Solve the flight" }).click();
  await page.getByRole("alert").getByText("No flight yet.").waitFor();
  const wrong = join(folder, "notes.csv");
  writeFileSync(wrong, "when,a,b\n0,1,2\n");
  await page.locator("#recording").setInputFiles(wrong);
  await page.getByRole("button", { name: "Solve the flight" }).click();
  const said = page.getByRole("alert");
  await said.getByText(/notes\.csv/).waitFor();
  assert.match(await said.innerText(), /groundspeed_kt/);
  await page.getByLabel("Limit of the display, °").fill("-1");
  await page.locator("#recording").setInputFiles(flight("legs.csv"));
  await page.getByRole("button", { name: "Solve the flight" }).click();
  await page.getByRole("alert").getByText(/Limit: /).waitFor();
}));

test("two opposite legs: what cannot be told is said, and nothing is drawn of it", () => on({ width: 820, height: 1180 }, async (page) => {
  const two = join(folder, "two.csv");
  writeFileSync(two, "leg,indicated_deg,track_deg,groundspeed_kt\n1,003,012,104\n2,183,170,102\n");
  await page.locator("#recording").setInputFiles(two);
  await page.getByRole("button", { name: "Solve the flight" }).click();
  await page.locator(".verdictbox").waitFor({ timeout: 60000 });
  assert.match(await page.locator("h1").innerText(), /wind across/);
  assert.equal(await page.locator(".fly-heading").count(), 0, "what to fly is said once");
  assert.equal(await page.locator(".velocities .airspeed").count(), 0);
  assert.equal(await page.getByRole("heading", { name: "Coefficients" }).count(), 0);
  await lookAt(page, "two opposite legs");
}));

test("the legs are planned on the phone, stay there without the program, and are printed", () => on({ width: 360, height: 640, refusals: true }, async (page) => {
  await page.getByRole("link", { name: "Not flown yet? Plan the legs" }).click();
  await press(page, "Find the legs").click();
  await page.getByRole("alert").getByText("No airspeed yet.").waitFor();
  await page.getByLabel("True airspeed, kt").fill("100");
  await page.getByLabel("Minutes for the legs").fill("5");
  await page.getByLabel("Wind from, ° true").fill("240");
  await page.getByLabel("Wind, kt", { exact: true }).fill("15");
  await page.getByLabel("Variation, °", { exact: true }).fill("2");
  await press(page, "Find the legs").click();
  await page.getByRole("alert").getByText(/5 minutes are not enough/).waitFor();
  await lookAt(page, "a plan refused at 360");
  await page.getByLabel("Minutes for the legs").fill("24");
  await press(page, "Find the legs").click();
  await page.locator(".planned").waitFor();
  const options = ["--tas-kt", "100", "--minutes", "24", "--wind-from-deg", "240", "--wind-kt", "15", "--variation-deg", "2"];
  const plan = JSON.parse(command("plan", ...options, "--json"));
  assert.deepEqual(await page.locator(".planned .fly-heading").allInnerTexts(), plan.legs.map((leg) => String(Math.round(leg.indicated_deg) % 360).padStart(3, "0")));
  for (const caution of plan.cautions) await page.getByText(caution.replaceAll("'", "’"), { exact: true }).waitFor();
  const places = await page.locator(".cautions, .planned").evaluateAll((all) => all.map((one) => one.getBoundingClientRect().top));
  assert.ok(places[0] < places[1], "the cautions stand before the legs");
  await lookAt(page, "a plan at 360");
  const sheet = await saved(page, page.getByRole("link", { name: "Save the sheet" }));
  command("plan", ...options, "--sheet", join(folder, "plan.pdf"));
  assert.ok(sheet.bytes.equals(readFileSync(join(folder, "plan.pdf"))), "the sheet is the command's");
  await page.reload();
  await page.locator(".planned").waitFor();  // as on the way to the aircraft, from the browser's own keeping
}));

for (const [theme, width, height] of [["paper", 1366, 768], ["sun", 820, 1180], ["night", 360, 740]]) {
  test(`${theme} at ${width} px: no rule broken, contrast 7, nothing sticks out, targets large`, () => on({ width, height, theme }, async (page) => {
    await page.getByText("More about how it was flown").click();
    await page.getByLabel("From place and day").check();
    await lookAt(page, "entries");
    await page.getByLabel("As I know it").check();
    await solved(page, "flight.nmea");
    await lookAt(page, "answer");
    for (const table of await page.locator(".astable > summary").all()) await table.click();
    await lookAt(page, "answer with its tables");
  }));
}
