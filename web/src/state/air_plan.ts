// SPDX-License-Identifier: Apache-2.0
// The plan of a check in the air. It is kept in the browser: the phone that it was made on is carried to
// the aircraft, out of the network's reach.
import { computed, signal } from "@preact/signals";
import * as api from "../api/air";
import type { AirPlan } from "../api/air";
import { type AirQuery, planQueryOf } from "./air_query";
import { entries } from "./entries";
import { keep, kept } from "./kept";
import { fail, failure } from "./session";

export interface PlanAnswer {
  document: AirPlan;
  query: AirQuery;
}

const same = (one: AirQuery, other: AirQuery) => JSON.stringify(one) === JSON.stringify(other);

export const plan = signal<PlanAnswer | null>(kept<PlanAnswer | null>("air-plan", null));
export const editing = signal(plan.value === null);
export const planning = signal(false);
/** The entries are no longer those that the plan was made from. */
export const outdated = computed(() => {
  const now = planQueryOf(entries.value);
  return plan.value !== null && !("field" in now) && !same(now.query, plan.value.query);
});

export async function planLegs() {
  failure.value = null;
  const wanted = planQueryOf(entries.value);
  if ("field" in wanted) {
    failure.value = { ...wanted, where: "", remedy: "Fill it in, then plan." };
    return;
  }
  planning.value = true;
  try {
    plan.value = { document: await api.plan(wanted.query), query: wanted.query };
    keep("air-plan", plan.value);
    editing.value = false;
  } catch (trouble) {
    fail(trouble, "plan");
  }
  planning.value = false;
}
