// SPDX-License-Identifier: Apache-2.0
// Which of the page's two views is shown; kept in the address, so that it can be linked and gone back to.
import { signal } from "@preact/signals";
import { failure, saidQuietly } from "./session";

export const views = [["sensor", "Sensor fit"], ["disturbance", "Disturbance"]] as const;
export type View = (typeof views)[number][0];

const inAddress = (): View => (location.hash === "#disturbance" ? "disturbance" : "sensor");
export const view = signal<View>(inAddress());

export function followAddress() {
  window.addEventListener("hashchange", () => {
    view.value = inAddress();
    failure.value = null;
    saidQuietly.value = "";
    window.scrollTo(0, 0);
  });
}
