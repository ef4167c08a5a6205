// SPDX-License-Identifier: Apache-2.0
// A swing that was led: its document, its sheet, and the cards that are made of it.
import { ask } from "./client";

/** The document as it came, so that what is saved is what the book has. */
export const document = async (id: string): Promise<string> => (await ask(`/api/swings/${encodeURIComponent(id)}`)).text();

export const sheet = async (id: string, what: "sheet" | "card", form: "pdf" | "svg", query: Record<string, string>): Promise<Blob> => {
  const keys = Object.entries(query).map(([key, value]) => `${key}=${encodeURIComponent(value)}`).join("&");
  return (await ask(`/api/swings/${encodeURIComponent(id)}/${what}.${form}?${keys}`)).blob();
};
