// SPDX-License-Identifier: Apache-2.0
// Round steps for axes.

/** 1, 2 or 5 times a power of ten, so that about `wanted` steps cover `range`. */
export function roundStep(range: number, wanted: number): number {
  const rough = range / Math.max(wanted, 1);
  if (!(rough > 0)) return 1;
  const power = 10 ** Math.floor(Math.log10(rough));
  const lead = rough / power;
  return (lead <= 1 ? 1 : lead <= 2 ? 2 : lead <= 5 ? 5 : 10) * power;
}

/** Seconds as clocks count them. */
export function clockStep(range: number, wanted: number): number {
  const rough = range / Math.max(wanted, 1);
  if (rough <= 1) return roundStep(range, wanted);
  return [2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600].find((step) => step >= rough) ??
    3600 * Math.ceil(rough / 3600);
}

/** Multiples of `step` from `low` to `high`. */
export function marks(low: number, high: number, step: number): number[] {
  const out: number[] = [];
  for (let i = Math.ceil(low / step - 1e-9); i * step <= high + step * 1e-9; i += 1) {
    out.push(i === 0 ? 0 : i * step);
  }
  return out;
}

/** The decimals that a step needs. */
export const decimalsOf = (step: number) => Math.max(0, Math.min(6, -Math.floor(Math.log10(step) + 1e-9)));
