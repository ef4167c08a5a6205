// SPDX-License-Identifier: Apache-2.0
// Which of the page's views is shown; kept in the address, so that it can be linked and gone back to.
import { signal } from "@preact/signals";
import { openAnswer } from "./run_session";
import { failure, openFit, saidQuietly } from "./session";
import { openSwing } from "./swing_session";

/** Those at the top of each page, with their words there. */
export const views = [["sensor", "Sensor fit"], ["disturbance", "Disturbance"], ["begin", "Live run"], ["air", "Air check"]] as const;
const others = ["cockpit", "look-on", "pairing", "air-plan", "swing"] as const;
export type View = (typeof views)[number][0] | (typeof others)[number];

const all: readonly View[] = [...views.map(([name]) => name), ...others];

/** The one at the top that it belongs to. */
export const under = (name: View): View => (name === "air-plan" ? "air" : name === "swing" || name === "cockpit" ? "begin" : name);

/** "#/disturbance/4/9", "#/sensor/4/7": the view and the answer that is meant in it. */
export function placeIn(hash: string): { view: View; ids: string[] } {
  const [name = "", ...ids] = hash.replace(/^#\/?/, "").split("/").map(decodeURIComponent);
  return { view: all.find((one) => one === name) ?? "sensor", ids };
}

export const view = signal<View>(placeIn(location.hash).view);

function arrived() {
  const { view: now, ids } = placeIn(location.hash);
  view.value = now;
  const [recording, work] = ids;
  if (now === "swing" && recording) void openSwing(recording);
  if (!recording || !work) return;
  if (now === "disturbance") void openAnswer(recording, work);
  if (now === "sensor") void openFit(recording, work);
}

export function followAddress() {
  window.addEventListener("hashchange", () => {
    failure.value = null;
    saidQuietly.value = "";
    arrived();
    window.scrollTo(0, 0);
  });
  arrived();
}
