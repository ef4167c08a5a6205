// SPDX-License-Identifier: Apache-2.0
// Keeps the screen on, where the browser can. The lock is lost whenever the page is out of sight, and
// taken again when it is back.
import { signal } from "@preact/signals";

export const screenStaysOn = signal<boolean | null>(null);

export function keepAwake(): () => void {
  let lock: WakeLockSentinel | null = null;
  let ended = false;
  const take = async () => {
    if (ended || document.visibilityState !== "visible" || (lock && !lock.released)) return;
    try {
      lock = await navigator.wakeLock.request("screen");
      screenStaysOn.value = true;
      if (ended) await lock.release();
    } catch {
      screenStaysOn.value = false;
    }
  };
  if (!("wakeLock" in navigator)) screenStaysOn.value = false;
  else void take();
  const seen = () => { if ("wakeLock" in navigator) void take(); };
  document.addEventListener("visibilitychange", seen);
  // A lock that was refused for want of a touch is given after one.
  window.addEventListener("pointerup", seen);
  return () => {
    ended = true;
    document.removeEventListener("visibilitychange", seen);
    window.removeEventListener("pointerup", seen);
    void lock?.release().catch(() => {});
  };
}
