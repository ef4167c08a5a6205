// SPDX-License-Identifier: Apache-2.0
// The live run, the aircraft book behind it, and the pairing of other devices: what is sent and asked.
import { ask, json } from "./client";
import type { Book, Pairing, RunAnswer, RunClock, RunStart, RunView } from "./types";

export type {
  AskedNumber, Book, BookRun, Paired, Pairing, RunAnswer, RunButton, RunDevice, RunLink, RunResult, RunStart, RunSwing,
  RunSwingCompass, RunSwingPoint, RunSwingReading, RunView, Trace,
} from "./types";

export type AnswerKind = RunAnswer["kind"];
export type Phase = RunView["phase"];
export type Role = RunView["you"];

const sent = (body: unknown, signal?: AbortSignal): RequestInit => ({
  method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body), ...(signal ? { signal } : {}),
});

export const eventsAddress = "/api/run/events";
export const book = () => json<Book>("/api/book");
export const start = (asked: RunStart) => json<RunView>("/api/runs", sent(asked));
export const now = (signal?: AbortSignal) => json<RunView>("/api/run", signal ? { signal } : {});
/** The program's own certificate, to be trusted by the device that asks. */
export const certificateAddress = "/api/certificate";
export const clock = (signal?: AbortSignal) => json<RunClock>("/api/run/clock", signal ? { signal } : {});
export const answer = (said: RunAnswer, signal?: AbortSignal) => json<RunView>("/api/run/answers", sent(said, signal));
export const typed = (line: string, link: number) => ask("/api/run/typed", sent({ link, line }));
export const pairing = () => json<Pairing>("/api/pairing");
export const newCode = (role: Role) => json<Pairing>("/api/pairing", sent({ role }));
export const revoke = (id: string) => ask(`/api/pairing/${encodeURIComponent(id)}`, { method: "DELETE" });
