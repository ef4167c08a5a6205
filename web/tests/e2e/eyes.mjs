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
export async function contrastIsSeven(page, state) {
  const { checked, weak } = await page.evaluate(() => {
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
      if ((a + 0.05) / (b + 0.05) < 7) weak.push(`${((a + 0.05) / (b + 0.05)).toFixed(2)} "${text.trim().slice(0, 40)}"`);
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
  });
  assert.ok(checked > 20, `${state}: only ${checked} texts were found`);
  assert.deepEqual(weak, [], state);
}

export async function nothingSticksOut(page, state) {
  const [content, window] = await page.evaluate(() => [document.documentElement.scrollWidth, document.documentElement.clientWidth]);
  assert.ok(content <= window, `${state}: content ${content} px in ${window} px`);
}

/** What can be pressed is at least 44 px high and wide; a choice counts with its label. */
export async function targetsAreLarge(page, state) {
  const small = await page.evaluate(() => {
    const out = [];
    for (const element of document.querySelectorAll("button, a[href], summary, select, textarea, input, label[for=recording]")) {
      if (element.id === "recording") continue; // its label is what is pressed
      const box = (["radio", "checkbox"].includes(element.type) ? element.closest("label") : element).getBoundingClientRect();
      if (box.width === 0) continue;
      if (box.height < 43.9 || box.width < 43.9) out.push(`${element.tagName} "${(element.textContent || element.id).slice(0, 30)}" ${box.width.toFixed(0)}x${box.height.toFixed(0)}`);
    }
    return out;
  });
  assert.deepEqual(small, [], state);
}

export async function lookAt(page, state) {
  await axeFindsNothing(page, state);
  await contrastIsSeven(page, state);
  await nothingSticksOut(page, state);
  await targetsAreLarge(page, state);
}
