// SPDX-License-Identifier: Apache-2.0
import type { FitDocument } from "./fit_document";
import type { About, ApiError, FitNews, FitRequest, FitStarted, Recording, Series } from "./types";

/** A refusal with its four parts. */
export class Refused extends Error {
  readonly parts: ApiError;
  /** Of the answer; 0 when there was none. */
  readonly status: number;
  constructor(parts: ApiError, status = 0) {
    super(parts.what);
    this.parts = parts;
    this.status = status;
  }
}

const linkDown: ApiError = {
  what: "the program on this machine does not answer",
  where: "link to the program",
  expected: "quietnorth serve running in its window",
  remedy: "start quietnorth serve again, then open this page anew; your entries are kept here",
};

/** The page was opened on the machine on which the program runs. */
export const onHost = typeof location === "undefined" || ["127.0.0.1", "localhost", "[::1]"].includes(location.hostname);

function asError(body: string): ApiError {
  try {
    const parts = JSON.parse(body) as ApiError;
    if (parts.what && parts.where) return parts;
  } catch {
    // Not one of the program's own answers.
  }
  return { ...linkDown, what: "the answer cannot be read" };
}

export async function ask(address: string, how?: RequestInit): Promise<Response> {
  let answer: Response;
  try {
    answer = await fetch(address, how);
  } catch (failed) {
    if (failed instanceof DOMException && failed.name === "AbortError") throw failed;
    throw new Refused(linkDown);
  }
  if (!answer.ok) throw new Refused(asError(await answer.text()), answer.status);
  return answer;
}

export const json = async <T>(address: string, how?: RequestInit): Promise<T> =>
  (await ask(address, how)).json() as Promise<T>;

export const about = () => json<About>("/api/about");

export const recording = (id: string) => json<Recording>(`/api/recordings/${encodeURIComponent(id)}`);

export function bringRecording(
  file: File,
  columnMap: string[],
  progress: (fraction: number) => void,
): { answer: Promise<Recording>; stop: () => void } {
  // Not fetch: it does not tell how far an upload is.
  const request = new XMLHttpRequest();
  const answer = new Promise<Recording>((resolve, reject) => {
    request.upload.onprogress = (event) => progress(event.loaded / Math.max(event.total, 1));
    request.onload = () => {
      if (request.status === 201) resolve(JSON.parse(request.responseText) as Recording);
      else reject(new Refused(asError(request.responseText)));
    };
    request.onerror = () => reject(new Refused(linkDown));
    request.onabort = () => reject(new DOMException("stopped", "AbortError"));
    const query = columnMap.map((pair) => `map=${encodeURIComponent(pair)}`).join("&");
    request.open("POST", `/api/recordings${query ? `?${query}` : ""}`);
    request.setRequestHeader("X-File-Name", encodeURIComponent(file.name));
    request.setRequestHeader("Content-Type", "application/octet-stream");
    request.send(file);
  });
  return { answer, stop: () => request.abort() };
}

export const series = (id: string, from_s: number, to_s: number, points: number, signal: AbortSignal) =>
  json<Series>(`/api/recordings/${id}/series?from_s=${from_s}&to_s=${to_s}&points=${points}`, { signal });

export const startFit = (recordingId: string, request: FitRequest) =>
  json<FitStarted>(`/api/recordings/${recordingId}/fits`, {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify(request),
  });

/** Where work is found: the addresses of all kinds are alike. */
export type WorkPlace = "fits" | "disturbances" | "swings";

export const stopWork = (place: WorkPlace, id: string) => ask(`/api/${place}/${id}`, { method: "DELETE" });

export const document = (id: string) => json<FitDocument>(`/api/fits/${id}`);

export interface EarthThere {
  X_uT: number;
  H_uT: number;
  F_uT: number;
  dip_deg: number;
  declination_deg: number;
}
export const earth = (at: string, on: string, signal: AbortSignal) =>
  json<EarthThere>(`/api/earth?at=${encodeURIComponent(at)}&on=${encodeURIComponent(on)}`, { signal });

/** Follows work to its end; resolves with the last word, also after the link was down for a while. */
export function followWork(place: WorkPlace, id: string, progress: (news: FitNews) => void): Promise<FitNews> {
  return new Promise((resolve, reject) => {
    const stream = new EventSource(`/api/${place}/${id}/events`);
    let down = 0;
    const read = (event: Event) => JSON.parse((event as MessageEvent<string>).data) as FitNews;
    stream.addEventListener("progress", (event) => {
      down = 0;
      progress(read(event));
    });
    for (const last of ["done", "failed", "stopped"]) {
      stream.addEventListener(last, (event) => {
        stream.close();
        resolve(read(event));
      });
    }
    // The browser connects again by itself; after some time of that, it is said.
    stream.onerror = () => {
      down += 1;
      if (down < 5 && stream.readyState !== EventSource.CLOSED) return;
      stream.close();
      reject(new Refused(linkDown));
    };
  });
}
