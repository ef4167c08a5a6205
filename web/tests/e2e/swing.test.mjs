// SPDX-License-Identifier: Apache-2.0
// A swing in the real browser, led by the real program: marks come one by one, one compass is misread,
// asked for again while the aircraft stands there, and mended; the answer is in the book.
import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { join } from "node:path";
import { test } from "node:test";
import { fitsTheScreen, lookAt } from "./eyes.mjs";
import { onStage } from "./stage.mjs";

const { folder, on, saved } = onStage({
  make: (folder) => {
    const made = spawnSync(process.env.QN_PROGRAM, ["book", "new", join(folder, "brindle.qnbook"), "--aircraft", "Brindle"]);
    assert.equal(made.status, 0, String(made.stderr));
  },
  serve: (folder) => ["--book", join(folder, "brindle.qnbook")],
});
const book = join(folder, "brindle.qnbook");

/** B = 4, C = -3 and D = 1: what a compass with these shows on a mark, in whole degrees. */
function shownOn(station) {
  const radians = (station * Math.PI) / 180;
  const deviation = 0.5 + 4 * Math.sin(radians) - 3 * Math.cos(radians) + Math.sin(2 * radians);
  return (Math.round(station - deviation) + 360) % 360;
}

const button = (page, name) => page.getByRole("button", { name, exact: true });
const figures = (deg) => String(deg).padStart(3, "0");
const picture = (page, name) => (process.env.QN_PICTURES ? page.screenshot({ path: join(process.env.QN_PICTURES, `${name}.png`) }) : undefined);

/** Typed on the page's own keys, as with a glove. */
async function read(page, number) {
  for (const key of figures(number)) await button(page, key).click();
  await button(page, "Keep the reading").click();
}

/** Onto the mark; a question that was just put is not answered sooner than a hand can. */
async function stand(page, station) {
  const there = page.locator(".huge").filter({ hasText: `It stands on ${figures(station)}` });
  await there.waitFor();
  await page.waitForTimeout(300);
  await there.click();
  await page.locator("#reading").waitFor();
}

test("a swing is begun, read mark by mark, a misreading mended, and answered", () => on({ width: 360, height: 740 }, async (page) => {
  page.setDefaultTimeout(60_000);
  await page.evaluate(() => { location.hash = "#/begin"; });
  await page.getByLabel("What is done").selectOption("swing");
  await page.getByLabel("Marks", { exact: true }).selectOption("12");
  await page.getByLabel("Compasses, several with ;").fill("");
  await button(page, "Begin the run").click();
  await page.getByRole("alert").getByText("No compass yet.").waitFor();
  await page.getByLabel("Compasses, several with ;").fill("standby:10");
  await page.getByLabel("Stands before a reading, s").fill("1");
  await lookAt(page, "begin a swing");
  await picture(page, "begin-360");
  await button(page, "Begin the run").click();
  await page.getByRole("heading", { name: "Read this before" }).waitFor();
  await page.waitForTimeout(300);
  await button(page, "Read and done then the run goes on").click();

  for (let station = 0; station < 270; station += 30) {
    if (station === 210) {
      // A puddle on the mark: the swing goes on without it.
      await page.locator(".huge").filter({ hasText: "It stands on 210" }).waitFor();
      await button(page, "More").click();
      await button(page, "This mark cannot be used").click();
      await button(page, "Leave 210 out").click();
      continue;
    }
    await stand(page, station);
    if (station === 90) {
      await page.getByRole("img", { name: /standby: 3 readings/ }).waitFor();
      await button(page, "Keep the reading").click();
      await page.getByText("Nothing is typed yet.").waitFor();
      for (const key of "400") await button(page, key).click();
      await button(page, "Keep the reading").click();
      await page.getByText("400: a heading is not above 360.").waitFor();
      for (const _ of "400") await button(page, "Undo the last figure").click();
      await picture(page, "question-360");
    }
    await read(page, shownOn(station));
  }

  // Misread by ten: said at once, in words, and nowhere what would fit.
  await stand(page, 270);
  const right = shownOn(270), wrong = right + 10;
  await read(page, wrong);
  await page.getByRole("heading", { name: `${figures(wrong)} does not fit the others. Read the standby on 270 again before you turn.` }).waitFor();
  await button(page, `${figures(wrong)} is right`).waitFor();
  assert.ok(!(await page.locator(".cockpit").innerText()).includes(figures(right)), "what would fit is not shown: it would be agreed with");
  for (const [width, height] of [[360, 640], [360, 740], [740, 360], [820, 1180], [1366, 768]]) {
    await page.setViewportSize({ width, height });
    await page.waitForTimeout(200);
    await fitsTheScreen(page, `a doubtful reading at ${width} by ${height}`);
    await picture(page, `doubt-${width}x${height}`);
  }
  for (const theme of ["sun", "night"]) {
    await page.evaluate((name) => document.documentElement.setAttribute("data-theme", name), theme);
    await lookAt(page, `a doubtful reading in ${theme}`);
    await picture(page, `doubt-${theme}`);
  }
  await page.evaluate(() => document.documentElement.setAttribute("data-theme", "paper"));
  await page.setViewportSize({ width: 820, height: 1180 });
  await read(page, right);
  await page.getByText(`The standby on 270: ${figures(right)} in place of ${figures(wrong)}.`).waitFor();

  // A number heard wrong is mended although the aircraft has been turned.
  await stand(page, 300);
  await read(page, shownOn(300) + 1);
  await page.locator(".huge").waitFor();
  await button(page, "More").click();
  await button(page, "A reading was wrong").click();
  await button(page, `standby on 300: ${shownOn(300) + 1}`).click();
  await picture(page, "mend-820");
  await read(page, shownOn(300));
  await page.getByText(`The standby on 300: ${figures(shownOn(300))} in place of ${figures(shownOn(300) + 1)}.`).waitFor();

  await stand(page, 330);
  await page.setViewportSize({ width: 1366, height: 768 });
  await picture(page, "question-1366");
  await read(page, shownOn(330));
  await page.getByText("It is kept as finding 1 of the book").waitFor();
  const kept = JSON.parse(String(spawnSync(process.env.QN_PROGRAM, ["book", "show", book, "--json"]).stdout));
  assert.equal(kept.findings.length, 1);
  // The answer itself, where the run was: curve with its readings, coefficients, and what to do next.
  assert.equal((await page.locator(".say-part .v").innerText()).trim(), kept.findings[0].verdict);
  for (const words of ["Deviation over heading", "What each reading leaves", "Largest deviation", "Coefficients", "What can be taken off", "Assumed or given"]) {
    await page.getByRole("heading", { name: words, exact: true }).waitFor();
  }
  assert.equal(await page.locator(".plot .reading").count(), 11, "each reading stands on the curve");
  await page.getByText("Not stood on: 210.").waitFor();
  assert.match(await page.locator(".letters").innerText(), /B\s+sin: hard iron fore and aft\s+\+[34]\.\d/, "B of the made-up compass is 4");
  await page.getByText("What the card says beside its figures").click();
  await page.getByLabel("Engine").selectOption("stopped");
  await lookAt(page, "the answer of a swing");
  await picture(page, "answer-1366");
  const card = await saved(page, button(page, "Card as a drawing (SVG)"));
  assert.match(card.name, /^stations-\d+-card\.svg$/);
  assert.match(String((await saved(page, button(page, "Save the card"))).bytes.subarray(0, 5)), /%PDF-/);
  const sheet = await saved(page, button(page, "Save the swing sheet"));
  assert.match(sheet.name, /^stations-\d+-sheet\.pdf$/);
  const numbers = await saved(page, button(page, "Numbers (JSON)"));
  assert.equal(JSON.parse(String(numbers.bytes)).sentence, kept.findings[0].sentence);
  await page.setViewportSize({ width: 360, height: 640 });
  await page.reload();
  await page.getByText("It is kept as finding 1 of the book").waitFor();
  await lookAt(page, "the answer of a swing at 360, loaded again");
  await picture(page, "answer-360");
}));
