// SPDX-License-Identifier: Apache-2.0
// What is typed for a card, as the query that asks for it. What stays empty is filled in by hand on the card.
import type { Entries } from "./entries";

export interface CardEntries {
  cardSteps: "" | "15" | "45";
  cardEngine: "" | "running" | "stopped";
  cardRadio: "" | "on" | "off";
  cardBy: string;
  cardPlace: string;
  cardDay: string;
  cardLoads: string;
}

export const blankCard: CardEntries = { cardSteps: "", cardEngine: "", cardRadio: "", cardBy: "", cardPlace: "", cardDay: "", cardLoads: "" };

const keys: [keyof CardEntries, string][] = [
  ["cardSteps", "steps"], ["cardEngine", "engine"], ["cardRadio", "radio"], ["cardBy", "by"], ["cardPlace", "place"], ["cardDay", "day"], ["cardLoads", "loads_are"],
];

export function cardQueryOf(e: Entries): Record<string, string> {
  return Object.fromEntries(keys.flatMap(([entry, key]) => (e[entry].trim() ? [[key, e[entry].trim()]] : [])));
}
