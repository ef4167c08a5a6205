// SPDX-License-Identifier: Apache-2.0
// Requests of the check in the air: the flight goes along with each, and nothing of it is kept but by `keep`.
import { ask, json } from "./client";
import type { AirPlan, Kept } from "./types";

export type { AirPlan, PlannedLeg } from "./types";

const brought = (flight: Blob, name: string): RequestInit => ({
  method: "POST", headers: { "Content-Type": "application/octet-stream", "X-File-Name": encodeURIComponent(name) }, body: flight,
});
const asked = (query: Record<string, string>, further: string[] = []) => {
  const keys = [...Object.entries(query).map(([key, value]) => `${key}=${encodeURIComponent(value)}`), ...further];
  return keys.length ? `?${keys.join("&")}` : "";
};

/** The document as it came, so that what is saved is what the command prints. */
export const solve = async (flight: Blob, name: string, query: Record<string, string>): Promise<string> =>
  (await ask(`/api/air${asked(query)}`, brought(flight, name))).text();

export const sheet = async (form: "pdf" | "svg", flight: Blob, name: string, query: Record<string, string>, paper: string): Promise<Blob> =>
  (await ask(`/api/air/sheet.${form}${asked({ ...query, paper })}`, brought(flight, name))).blob();

/** As a finding of the aircraft's book; what came of it, in words. */
export const keep = async (flight: Blob, name: string, query: Record<string, string>, configuration: string[]): Promise<string> =>
  (await json<Kept>(`/api/air/finding${asked(query, configuration.map((one) => `configuration=${encodeURIComponent(one)}`))}`, brought(flight, name))).kept;

export const plan = (query: Record<string, string>) => json<AirPlan>(`/api/air/plan${asked(query)}`);
export const planSheetAddress = (form: "pdf" | "svg", query: Record<string, string>, paper: string) => `/api/air/plan/sheet.${form}${asked({ ...query, paper })}`;
