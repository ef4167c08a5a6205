// SPDX-License-Identifier: Apache-2.0
import { signal } from "@preact/signals";
import { keep, kept } from "./kept";

export interface Place {
  name: string;
  latitude: string;
  longitude: string;
  altitude: string;
}

export const places = signal<Place[]>(kept<Place[]>("places", []));

export function keepPlace(place: Place): boolean {
  places.value = [...places.value.filter((other) => other.name !== place.name), place].slice(-12);
  return keep("places", places.value);
}

export function forgetPlace(name: string) {
  places.value = places.value.filter((place) => place.name !== name);
  keep("places", places.value);
}
