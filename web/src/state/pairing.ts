// SPDX-License-Identifier: Apache-2.0
// Other devices, as the host lets them in and sends them away.
import { signal } from "@preact/signals";
import { Refused, onHost } from "../api/client";
import * as api from "../api/run";
import type { Pairing, Role } from "../api/run";
import { fail, failure } from "./session";

export const pairing = signal<Pairing | null>(null);
/** "closed": the program was started for this machine alone; "elsewhere": this is not the host. */
export const pairingState = signal<"looking" | "there" | "closed" | "elsewhere" | "away">("looking");
export const codeRole = signal<Role>("operate");
export const codeEnds_ms = signal(0);

function take(news: Pairing) {
  pairing.value = news;
  pairingState.value = "there";
  codeEnds_ms.value = Date.now() + 1000 * news.expires_s;
}

async function look() {
  try {
    take(await api.pairing());
  } catch (trouble) {
    const status = trouble instanceof Refused ? trouble.status : 0;
    pairingState.value = status === 0 || status >= 500 ? "away" : onHost ? "closed" : "elsewhere";
    if (pairingState.value !== "away") pairing.value = null;
  }
}

export function followPairing(): () => void {
  void look();
  const timer = window.setInterval(() => {
    if (pairingState.value === "there" || pairingState.value === "away") void look();
  }, 2000);
  return () => clearInterval(timer);
}

export async function makeCode(role: Role) {
  failure.value = null;
  try {
    take(await api.newCode(role));
    codeRole.value = role;
  } catch (trouble) {
    fail(trouble, "pairing");
  }
}

export async function sendAway(id: string) {
  failure.value = null;
  try {
    await api.revoke(id);
    await look();
  } catch (trouble) {
    fail(trouble, "pairing");
  }
}
