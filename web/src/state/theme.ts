// SPDX-License-Identifier: Apache-2.0
import { signal } from "@preact/signals";
import { keep, kept } from "./kept";

export const themes = ["paper", "sun", "night"] as const;
export type Theme = (typeof themes)[number];

const before = kept<Theme>("theme", "paper");
export const theme = signal<Theme>(themes.includes(before) ? before : "paper");

export function choose(next: Theme) {
  theme.value = next;
  document.documentElement.dataset.theme = next;
  keep("theme", next);
}
