// SPDX-License-Identifier: Apache-2.0
// Whether this page can be loaded again without a network here, found out by trying, and said in words.
import { signal } from "@preact/signals";

export type Reload = "unknown" | "works" | "insecure" | "untrusted" | "none";
export const reloadWithoutNetwork = signal<Reload>("unknown");

export const reloadWords: Record<Reload, string> = {
  unknown: "Whether this page can be loaded again without a network is being found out.",
  works: "This page can be loaded again here without a network.",
  insecure: "Without a network do not load this page again here: this address is not encrypted, and the browser keeps no page from it.",
  untrusted: "Without a network do not load this page again here: the browser keeps it only once the certificate is trusted.",
  none: "Without a network do not load this page again here: this browser keeps no pages.",
};

let tried = false;

/** Only the views of a run ask for it; the others are used beside the program. */
export async function prepareReload() {
  if (tried) return;
  tried = true;
  if (!window.isSecureContext) {
    reloadWithoutNetwork.value = "insecure";
    return;
  }
  if (!("serviceWorker" in navigator) || !("caches" in window)) {
    reloadWithoutNetwork.value = "none";
    return;
  }
  try {
    await navigator.serviceWorker.register("/worker.js");
    const ready = await navigator.serviceWorker.ready;
    ready.active?.postMessage("fill");
    reloadWithoutNetwork.value = (await caches.match("/")) ? "works" : "none";
  } catch {
    // Where the certificate is not trusted the page loads after a warning, but no worker does.
    const again = await navigator.serviceWorker.getRegistration().catch(() => undefined);
    reloadWithoutNetwork.value = again?.active && (await caches.match("/")) ? "works" : location.protocol === "https:" ? "untrusted" : "none";
  }
}
