// SPDX-License-Identifier: Apache-2.0
// What is needed to begin a live run: the book that the program was started with, and the links.
import { signal } from "@preact/signals";
import { Refused } from "../api/client";
import * as api from "../api/run";
import type { Book } from "../api/run";
import { entries, lines, runStartOf } from "./entries";
import { keep, kept } from "./kept";
import { fail, failure } from "./session";

export const book = signal<Book | null>(null);
/** "none": the program was started without a book; "away": it does not answer. */
export const bookState = signal<"looking" | "there" | "none" | "away">("looking");
export const chosenPorts = signal<string[]>(kept<string[]>("ports", []));
export const beginning = signal(false);

export async function lookForBook() {
  try {
    book.value = await api.book();
    bookState.value = "there";
  } catch (trouble) {
    book.value = null;
    bookState.value = trouble instanceof Refused && trouble.status === 404 ? "none" : "away";
  }
}

export function choosePort(address: string, on: boolean) {
  chosenPorts.value = on ? [...chosenPorts.value.filter((one) => one !== address), address] : chosenPorts.value.filter((one) => one !== address);
  keep("ports", chosenPorts.value);
}

/** Those that are ticked and still there, then those that were typed. */
export function chosenLinks(): string[] {
  const there = book.value?.ports.map((port) => port.address) ?? [];
  return [...chosenPorts.value.filter((address) => there.includes(address)), ...lines(entries.value.link)];
}

export async function begin(goOn: boolean) {
  failure.value = null;
  const request = runStartOf(entries.value, chosenLinks(), goOn);
  if ("field" in request) {
    failure.value = { ...request, where: "", remedy: "Fill it in, then begin." };
    return;
  }
  beginning.value = true;
  try {
    await api.start(request);
    location.hash = "#/cockpit";
  } catch (trouble) {
    if (trouble instanceof Refused && trouble.status === 409) void lookForBook();
    fail(trouble, "begin");
  }
  beginning.value = false;
}
