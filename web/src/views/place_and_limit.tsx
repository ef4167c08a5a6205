// SPDX-License-Identifier: Apache-2.0
// What every run of the devices needs, led or recorded before: where and when, the limit, and how it stood.
import { FailureAt } from "./failure";
import { Entry } from "./field";
import { PlaceEntry } from "./place_entry";

export function PlaceAndLimit({ stood }: { stood: string }) {
  return (
    <>
      <PlaceEntry />
      <div class="pair">
        <Entry name="limit" label="Limit, °" mode="decimal" field="limit" hint="the largest heading error you accept; empty: 1.0" />
        <Entry name="stood" label={stood} mode="decimal" field="stood" hint="magnetic; may stay empty" />
      </div>
      <FailureAt field="limit" />
      <FailureAt field="stood" />
    </>
  );
}
