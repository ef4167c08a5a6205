// SPDX-License-Identifier: Apache-2.0
// What is looked at in every state of the page: rules of accessibility, contrast, sizes, width.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";

const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

export async function axeFindsNothing(page, state) {
  await page.evaluate(axe);
  const violations = await page.evaluate(async () => {
    const found = await globalThis.axe.run(document, { resultTypes: ["violations"] });
    return found.violations.map((v) => `${v.id}: ${v.nodes.map((node) => node.target.join(" ")).slice(0, 4).join("; ")}`);
  });
  assert.deepEqual(violations, [], state);
}

/** Every piece of text against the ground it stands on, by the formula of WCAG 2 (relative luminance). */
export async function contrastIsSeven(page, state, { least = 7, texts = 20 } = {}) {
  const { checked, weak } = await page.evaluate((least) => {
    const rgb = (text) => (/^rgba?\(([^)]+)\)/.exec(text)?.[1] ?? "0,0,0,0").split(",").map(Number);
    const light = (c) => {
      const [r, g, b] = c.slice(0, 3).map((v) => (v / 255 <= 0.03928 ? v / 255 / 12.92 : ((v / 255 + 0.055) / 1.055) ** 2.4));
      return 0.2126 * r + 0.7152 * g + 0.0722 * b;
    };
    const ground = (element) => {
      for (let at = element; at; at = at.parentElement) {
        const c = rgb(getComputedStyle(at).backgroundColor);
        if ((c[3] ?? 1) > 0.99) return c;
      }
      return rgb(getComputedStyle(document.documentElement).backgroundColor);
    };
    const weak = [];
    let checked = 0;
    const look = (element, text, ink) => {
      const box = element.getBoundingClientRect();
      if (!text.trim() || box.width < 2 || box.height < 2 || getComputedStyle(element).visibility === "hidden") return;
      const [a, b] = [light(rgb(ink)), light(ground(element))].sort((p, q) => q - p);
      checked += 1;
      if ((a + 0.05) / (b + 0.05) < least) weak.push(`${((a + 0.05) / (b + 0.05)).toFixed(2)} "${text.trim().slice(0, 40)}"`);
    };
    const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    for (let node = walk.nextNode(); node; node = walk.nextNode()) {
      const element = node.parentElement;
      if (!element || ["SCRIPT", "STYLE", "NOSCRIPT", "OPTION"].includes(element.tagName)) continue;
      const style = getComputedStyle(element);
      look(element, node.data, element instanceof SVGElement ? style.fill : style.color);
    }
    for (const element of document.querySelectorAll("input, select, textarea")) {
      look(element, element.value || "x", getComputedStyle(element).color);
      if (element.placeholder) look(element, element.placeholder, getComputedStyle(element, "::placeholder").color);
    }
    return { checked, weak };
  }, least);
  assert.ok(checked > texts, `${state}: only ${checked} texts were found`);
  assert.deepEqual(weak, [], state);
}

export async function nothingSticksOut(page, state) {
  const [content, window] = await page.evaluate(() => [document.documentElement.scrollWidth, document.documentElement.clientWidth]);
  assert.ok(content <= window, `${state}: content ${content} px in ${window} px`);
}

/** What can be pressed is at least 44 px high and wide, or so much; a choice counts with its label. */
export async function targetsAreLarge(page, state, least = 44) {
  const small = await page.evaluate((least) => {
    const out = [];
    for (const element of document.querySelectorAll("button, a[href], summary, select, textarea, input, label[for=recording]")) {
      if (element.id === "recording") continue; // its label is what is pressed
      const box = (["radio", "checkbox"].includes(element.type) ? element.closest("label") : element).getBoundingClientRect();
      if (box.width === 0) continue;
      if (box.height < least - 0.1 || box.width < least - 0.1) out.push(`${element.tagName} "${(element.textContent || element.id).slice(0, 30)}" ${box.width.toFixed(0)}x${box.height.toFixed(0)}`);
    }
    return out;
  }, least);
  assert.deepEqual(small, [], state);
}

/** A run fits its screen: nothing scrolls, is cut off or lies over another; targets are 12 px apart. */
export async function fitsTheScreen(page, state) {
  const faults = await page.evaluate(() => {
    const out = [];
    const seen = (element) => element.getBoundingClientRect().width > 1 && !element.closest(".unseen, .inks");
    const name = (element) => `${element.className || element.tagName} "${(element.textContent ?? "").slice(0, 24)}"`;
    for (const element of document.querySelectorAll(".cockpit *, .lookon *")) {
      if (element.closest("svg") || !seen(element)) continue;
      const box = element.getBoundingClientRect();
      if (box.bottom > innerHeight + 0.5 || box.right > innerWidth + 0.5 || box.top < -0.5) out.push(`outside: ${name(element)}`);
      if (element.clientHeight && element.scrollHeight > element.clientHeight + 3 && getComputedStyle(element).overflowY !== "visible") out.push(`cut off: ${name(element)}`);
    }
    const targets = [...document.querySelectorAll(".cockpit button, .cockpit a")].filter(seen).map((element) => [name(element), element.getBoundingClientRect()]);
    const parts = [...document.querySelectorAll(".stage > *")].filter(seen).map((element) => [name(element), element.getBoundingClientRect()]);
    const apart = (a, b) => Math.max(a.left - b.right, b.left - a.right, a.top - b.bottom, b.top - a.bottom);
    for (const [list, least] of [[targets, 11.9], [parts, -0.5]]) {
      list.forEach(([one, a], i) => list.slice(0, i).forEach(([other, b]) => { if (apart(a, b) < least) out.push(`${apart(a, b).toFixed(0)} px between ${one} and ${other}`); }));
    }
    return out;
  });
  assert.deepEqual(faults, [], state);
}

export async function lookAt(page, state) {
  await axeFindsNothing(page, state);
  await contrastIsSeven(page, state);
  await nothingSticksOut(page, state);
  await targetsAreLarge(page, state);
}
