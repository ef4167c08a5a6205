// SPDX-License-Identifier: Apache-2.0
// The live run in the real browser, against a stand-in for the program that can lose its link at will.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { axeFindsNothing, contrastIsSeven, fitsTheScreen, lookAt, nothingSticksOut, targetsAreLarge } from "./eyes.mjs";
import { blank, safety, startFake, waiting } from "./fake_run_server.mjs";
import { startBrowser } from "./stage.mjs";

let fake, browser;

before(async () => {
  [fake, browser] = await Promise.all([startFake(), startBrowser()]);
});

after(async () => {
  await browser?.stop();
  await fake?.stop();
});

/** A fresh page of the run; `offline`: the browser's own notes about a lost link are expected. */
async function on({ width = 360, height = 640, theme = "paper", hash = "#/cockpit", part = {}, offline = false, running = true, fakeTime = false }, act) {
  const page = await browser.context.newPage();
  page.setDefaultTimeout(60_000);
  const complaints = [];
  const expected = offline ? /Failed to load resource|Service Worker registration blocked/ : /Service Worker registration blocked/;
  page.on("console", (message) => { if (["error", "warning"].includes(message.type()) && !expected.test(message.text())) complaints.push(message.text()); });
  page.on("pageerror", (error) => complaints.push(String(error)));
  try {
    await page.setViewportSize({ width, height });
    await page.goto(`${fake.address}icon.svg`);
    await page.evaluate((name) => { localStorage.clear(); localStorage.setItem("quietnorth.theme", JSON.stringify(name)); }, theme);
    fake.reset(part);
    fake.running = running;
    if (fakeTime) await page.clock.install();
    await page.goto(fake.address + hash);
    await page.locator("#page h1").first().waitFor();
    await act(page);
    assert.deepEqual(complaints, []);
  } finally {
    fake.comeBack();
    await page.close();
  }
}

const picture = (page, name) => (process.env.QN_PICTURES ? page.screenshot({ path: `${process.env.QN_PICTURES}/${name}.png` }) : undefined);
const button = (page, name) => page.getByRole("button", { name, exact: true });
/** A question has stood long enough to be answered by a hand. */
const ready = (page) => page.waitForTimeout(300);
/** When something was done, on the recording's clock: not before, not after. */
async function around(act) {
  const before = fake.now_s();
  await act();
  return [before, fake.now_s()];
}
const within = (moment, [from, to], { clock_error_s }) => moment > from - clock_error_s - 0.05 && moment < to + clock_error_s + 0.05;
async function until(what, words) {
  for (let i = 0; i < 600; i += 1) {
    if (what()) return;
    await new Promise((end) => setTimeout(end, 50));
  }
  assert.fail(words);
}

test("a touch is one tap with its moment, and a late one counts from the touch that said so", () => on({}, async (page) => {
  await button(page, "It is on tap as you do it").waitFor();
  await ready(page);
  const touch = await around(() => page.locator(".huge").dblclick());
  await page.getByRole("heading", { name: /stays as it is/ }).waitFor();
  const [tap] = fake.answers;
  assert.equal(fake.answers.length, 1, "a hand that trembles taps once");
  assert.deepEqual([tap.kind, tap.device, tap.state], ["tap", "Left landing light", "on"], "it says what it is meant for");
  assert.ok(within(tap.said_s, touch, tap) && tap.at_s === tap.said_s, JSON.stringify([tap, touch]));
  fake.show({ ...blank, say: blank.say, version: fake.view.version, say_number: fake.view.say_number });
  const opening = await around(() => button(page, "It was a few seconds ago").click());
  await page.waitForTimeout(600);
  await button(page, "10 s ago").click();
  await until(() => fake.answers.length === 2, "the late tap is sent");
  const late = fake.answers[1];
  assert.ok(Math.abs(late.said_s - late.at_s - 10) < 1e-6);
  assert.deepEqual([late.device, late.state], ["Left landing light", "on"]);
  assert.ok(within(late.said_s, opening, late), "the first touch counts, not the choice");
}));

test("another device, its state and its moment; what was seen has a moment of its own", () => on({}, async (page) => {
  await button(page, "I did another one").click();
  await button(page, "Flaps").click();
  await button(page, "half").click();
  await button(page, "5 s ago").click();
  await until(() => fake.answers.length === 1, "it is sent");
  const [said] = fake.answers;
  assert.deepEqual([said.kind, said.device, said.state], ["another", "Flaps", "half"]);
  assert.ok(Math.abs(said.said_s - said.at_s - 5) < 1e-6);
  const shown = await around(() => fake.show({ ...blank, sentence: "Something changed 6 s ago: was it Left landing light?", main: { label: "Yes, that was it", kind: "tap", ago_s: 6 }, second: { label: "No", kind: "not_yet", ago_s: 0 }, version: fake.view.version, say_number: fake.view.say_number, say: "Was it?" }));
  await button(page, "No").waitFor();
  await page.waitForTimeout(700);
  await page.locator(".huge").click();
  await until(() => fake.answers.length === 2, "it is sent");
  assert.ok(within(fake.answers[1].at_s + 6, shown, fake.answers[1]), `${fake.answers[1].at_s}, shown at ${shown}`);
}));

test("taps of a lost link are kept with their own time and delivered in order, once", () => on({ offline: true }, async (page) => {
  await page.locator(".huge").waitFor();
  await page.waitForTimeout(600);  // the clock is measured
  fake.lose();
  await page.getByText(/Link down for \d+ s\. Go on; taps are kept here\./).waitFor();
  const first = await around(() => page.locator(".huge").click());
  await page.getByText("After that: Switch the left landing light off.").waitFor();
  await page.getByText("1 tap is kept here").waitFor();
  await page.waitForTimeout(700);
  const second = await around(() => page.locator(".huge").click());
  await page.getByText("2 taps are kept here").waitFor();
  await page.getByText("Nothing to do here until the link is back.").waitFor();
  assert.equal(fake.asked.length, 0);
  fake.loseReplies = 1;  // the first arrives, its answer does not
  fake.comeBack();
  await until(() => fake.answers.length === 2 && fake.asked.length >= 3, "both arrive, the first of them twice");
  await page.getByRole("heading", { name: "Everything rests; touch nothing." }).waitFor();
  assert.deepEqual(fake.asked.map((one) => one.key), [fake.answers[0].key, fake.answers[0].key, fake.answers[1].key]);
  assert.deepEqual(fake.answers.map((one) => one.state), ["on", "off"]);
  [first, second].forEach((touch, i) => assert.ok(within(fake.answers[i].at_s, touch, fake.answers[i]), `${JSON.stringify(fake.answers[i])} and ${touch}`));
  await page.waitForTimeout(1200);
  assert.equal(fake.asked.length, 3, "nothing is sent again");
  assert.equal(await page.evaluate(() => localStorage.getItem("quietnorth.taps")), "[]");
}));

test("a page loaded anew delivers what the one before it kept", () => on({ offline: true }, async (page) => {
  await page.locator(".huge").waitFor();
  await page.waitForTimeout(600);
  fake.lose();
  await page.getByText("Link down").waitFor();
  const touch = await around(() => page.locator(".huge").click());
  await page.getByText("1 tap is kept here").waitFor();
  await page.goto("about:blank");
  fake.comeBack();
  await page.goto(`${fake.address}#/cockpit`);
  await until(() => fake.answers.length === 1, "it is delivered");
  assert.ok(within(fake.answers[0].at_s, touch, fake.answers[0]));
  await page.getByRole("heading", { name: /stays as it is/ }).waitFor();
}));

test("a stream that falls silent is noticed, although nothing broke", () => on({ offline: true, fakeTime: true }, async (page) => {
  await page.locator(".huge").waitFor();
  fake.mute = true;
  fake.stuck = true;
  await page.clock.fastForward(7000);
  await page.getByText("Link down").waitFor();
  fake.mute = fake.stuck = false;
  await page.clock.fastForward(2000);
  await page.getByText("Link down").waitFor({ state: "detached" });
}));

test("keyboard, clicker, pause, stop", () => on({ width: 1366, height: 768 }, async (page) => {
  await page.locator(".huge").waitFor();
  await ready(page);
  await page.keyboard.press("PageDown");
  await until(() => fake.answers.length === 1, "PageDown is the large target");
  await page.keyboard.press("Escape");
  await page.getByRole("heading", { name: "Paused. Nothing is lost." }).waitFor();
  await button(page, "Night").click();
  await button(page, "Silent").click();
  assert.equal(await page.evaluate(() => document.documentElement.dataset.theme), "night");
  assert.equal(await button(page, "Silent").getAttribute("aria-pressed"), "true");
  await page.evaluate(() => document.activeElement.blur());
  await ready(page);
  await page.keyboard.press("Enter");
  await until(() => fake.answers.at(-1).kind === "resume", "Enter goes on");
  await page.getByRole("heading", { name: /stays as it is/ }).waitFor();
  // The order of the focus is that of reading.
  const order = await page.locator(".cockpit :is(button, a, input)").allInnerTexts();
  assert.deepEqual(order, ["Pause", "Stop", "Something went wrong: once more later", "It is off already", "Say it again", "More"]);
  assert.equal(await page.locator("[tabindex]:not([tabindex='0'])").count(), 0);
  await button(page, "Stop").dispatchEvent("pointerdown", { button: 0 });
  await until(() => fake.answers.at(-1).kind === "stop", "one touch is enough, before it is let go");
  await page.getByRole("heading", { name: /^Stopped/ }).waitFor();
  assert.deepEqual(fake.answers.map((one) => one.kind), ["tap", "pause", "resume", "stop"]);
}));

const states = {
  ask: {}, wait: waiting, safety,
  long: { sentence: "Switch on radio, transponder, navigation lights, strobe lights and pitot heat, all within a few seconds.", device: "", caution: "Pitot heat: cover off, do not touch.", members: ["radio", "transponder", "navigation lights", "strobe lights", "pitot heat"], held: "Long enough: more time would not narrow the band; repeats may." },
  trouble: { links: [{ ...blank.links[0], alive: false, silent_s: 12 }], noticed: "Something changed at 7:03 that was nothing asked for." },
  paused: { paused: true, main: { label: "Go on", kind: "resume", ago_s: 0 }, second: null, sentence: "Paused. Left landing light is still away: put it back when you can." },
  over: { phase: "over", main: null, second: null, device: "", sentence: "That was all. What was recorded is kept.", answer: { state: "done", error: null, recording_id: "3", disturbance_id: "7", verdict: "over", sentence: "The left landing light turns north by 3.6° to 4.1°, your limit is 1.0°.", finding: 2 } },
};

for (const [width, height, theme] of [[360, 640, "sun"], [740, 360, "night"], [820, 1180, "paper"]]) {
  test(`every moment of a run fits ${width} by ${height}, in ${theme}`, () => on({ width, height, theme }, async (page) => {
    await page.locator(".huge").waitFor();
    const fixed = [];
    for (const [name, part] of Object.entries(states)) {
      fake.show({ ...blank, since_s: fake.now_s() - 9, ...part, say: `moment: ${name}`, say_number: fake.view.say_number, version: fake.view.version });
      await page.locator(".cockpit h1").filter({ hasText: (part.sentence ?? blank.sentence).slice(0, 12) }).waitFor();
      await page.getByText(`moment: ${name}`).waitFor({ state: "attached" });
      await fitsTheScreen(page, name);
      await nothingSticksOut(page, name);
      await targetsAreLarge(page, name, 64);
      await contrastIsSeven(page, name, { least: theme === "sun" ? 10 : 7, texts: 5 });
      fixed.push(JSON.stringify([await button(page, "Pause").boundingBox(), await button(page, "Stop").boundingBox()]));
    }
    assert.equal(new Set(fixed).size, 1, "Pause and Stop never move");
    if (theme === "paper") await axeFindsNothing(page, "over");
    assert.equal(await page.getByRole("link", { name: "See the whole answer" }).getAttribute("href"), "#/disturbance/3/7");
    fake.show({ ...blank, links: [...blank.links, { number: 2, address: "typed", alive: true, silent_s: 0, rate_Hz: 0, wrong: [], typed: true }], say: "ask", say_number: fake.view.say_number, version: fake.view.version });
    for (const name of ["It was a few seconds ago", "I did another one", "More"]) {
      await button(page, name).click();
      await page.locator(".choosing").waitFor();
      await fitsTheScreen(page, name);
      await targetsAreLarge(page, name, 64);
      if (name !== "More") await page.keyboard.press("Escape");
    }
    await button(page, "Type a reading").click();
    for (const key of ["1", "2", "7"]) await button(page, key).click();
    await fitsTheScreen(page, "typing");
    await targetsAreLarge(page, "typing", 64);
    if (theme === "paper") await axeFindsNothing(page, "typing");
    await button(page, "Keep the reading").click();
    await page.getByText("127 is kept.").waitFor();
    assert.deepEqual(fake.typed, [{ link: 2, line: "127" }]);
    await page.locator(".choosing .back").click();
    // A mark that nobody can stand on: two touches away from the main answer, and asked once more.
    const mark = { device: "210", state: "cw" };
    fake.show({ ...blank, ...mark, procedure: "swing", sentence: "Turn clockwise to 210 and let it stand.", main: { label: "It stands on 210", kind: "tap", ago_s: 0, ...mark }, second: null,
      leave_out: { label: "This mark cannot be used", kind: "no_such_device", ago_s: 0, ...mark }, say: "210", say_number: fake.view.say_number + 1, version: fake.view.version + 1 });
    await button(page, "More").click();
    await button(page, "This mark cannot be used").click();
    await page.getByText("Go on without mark 210?").waitFor();
    await fitsTheScreen(page, "a mark to leave out");
    await targetsAreLarge(page, "a mark to leave out", 64);
    await picture(page, `leave-${width}x${height}`);
    const before = fake.answers.length;
    await button(page, "Back").click();
    assert.equal(fake.answers.length, before, "nothing was said yet");
    await button(page, "More").click();
    await button(page, "This mark cannot be used").click();
    await button(page, "Leave 210 out").click();
    await until(() => fake.answers.length > before, "the answer did not come");
    assert.deepEqual([fake.answers.at(-1).kind, fake.answers.at(-1).device, fake.answers.at(-1).state], ["no_such_device", "210", "cw"]);
  }));
}

test("who looks on sees the device larger than life, and nothing to press", () => on({ part: { you: "look_on" } }, async (page) => {
  await page.getByRole("heading", { name: "Left landing light" }).waitFor();
  assert.equal(await page.locator("button, a, input").count(), 0);
  for (const [width, height] of [[360, 640], [740, 360]]) {
    await page.setViewportSize({ width, height });
    await fitsTheScreen(page, `looking on at ${width}`);
    assert.ok(await page.locator("h1").evaluate((h1) => parseFloat(getComputedStyle(h1).fontSize)) > 56);
  }
  await page.keyboard.press("Enter");
  fake.show({ device: "Taxi light", say: "next" });
  await page.getByRole("heading", { name: "Taxi light" }).waitFor();
  await axeFindsNothing(page, "looking on");
  assert.equal(fake.answers.length, 0, "no key of it answers");
}));

test("a run is begun from the book, and gone on with", () => on({ hash: "#/begin", running: false }, async (page) => {
  await page.getByLabel("a serial port").check();
  await button(page, "Begin the run").click();
  await page.getByRole("alert").getByText("No place yet.").waitFor();
  await lookAt(page, "begin");
  await button(page, "Go on with run 3").click();
  await page.locator(".cockpit").waitFor();
  assert.deepEqual(fake.started.at(-1), { links: ["/dev/serial/by-id/usb-sensor-if00@38400"], go_on: true });
}));

test("the host lets devices in and sends them away", () => on({ hash: "#/pairing", width: 820, height: 1180 }, async (page) => {
  await page.getByText("482 615").waitFor();
  assert.equal(await page.locator("svg.qr path").count(), 1);
  assert.equal(await page.locator("svg.qr script").count(), 0, "only shapes are taken over");
  await page.getByText("3F:A2:91:0C").waitFor();
  await lookAt(page, "pairing");
  await button(page, "New code: one that looks on").click();
  await page.getByText("771 302").waitFor();
  await button(page, "Send away Phone at the wing tip").click();
  await page.getByText("Phone at the wing tip").waitFor({ state: "detached" });
  assert.deepEqual(fake.revoked, ["b2"]);
}));
