// SPDX-License-Identifier: Apache-2.0
// Requests of the disturbance run.
import { json } from "./client";
import type { Combination, DisturbanceDocument } from "./disturbance_document";
import type { DisturbanceRequest, FitStarted, MarkList, MovedMark, MovedMarks, WhatIfRequest } from "./types";

const sent = (body: unknown): RequestInit => ({
  method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body),
});

export const start = (recordingId: string, request: DisturbanceRequest) =>
  json<FitStarted>(`/api/recordings/${recordingId}/disturbances`, sent(request));

export const document = (id: string) => json<DisturbanceDocument>(`/api/disturbances/${id}`);
export const marks = async (id: string) => (await json<MarkList>(`/api/disturbances/${id}/marks`)).marks;

export const moveMarks = (id: string, moved: MovedMark[]) =>
  json<DisturbanceDocument>(`/api/disturbances/${id}/marks`, sent({ moved } satisfies MovedMarks));

export const whatIf = (id: string, on: string[]) =>
  json<Combination>(`/api/disturbances/${id}/what-if`, sent({ on } satisfies WhatIfRequest));
