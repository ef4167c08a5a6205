// SPDX-License-Identifier: Apache-2.0
// Requests of the check in the air: the flight goes along with each, and nothing of it is kept.
import { ask } from "./client";

const brought = (flight: Blob, name: string): RequestInit => ({
  method: "POST", headers: { "Content-Type": "application/octet-stream", "X-File-Name": encodeURIComponent(name) }, body: flight,
});
const asked = (query: Record<string, string>) => {
  const keys = Object.entries(query).map(([key, value]) => `${key}=${encodeURIComponent(value)}`);
  return keys.length ? `?${keys.join("&")}` : "";
};

/** The document as it came, so that what is saved is what the command prints. */
export const solve = async (flight: Blob, name: string, query: Record<string, string>): Promise<string> =>
  (await ask(`/api/air${asked(query)}`, brought(flight, name))).text();

export const sheet = async (form: "pdf" | "svg", flight: Blob, name: string, query: Record<string, string>, paper: string): Promise<Blob> =>
  (await ask(`/api/air/sheet.${form}${asked({ ...query, paper })}`, brought(flight, name))).blob();
