// SPDX-License-Identifier: Apache-2.0
// The verdict's marks, the hatches, and the few icons. Defined once, used by name.
import type { VerdictState } from "../api/fit_document";

export function Inks() {
  return (
    <svg width="0" height="0" class="inks" aria-hidden="true">
      <defs>
        <pattern id="h-within" width="7" height="7" patternUnits="userSpaceOnUse"><rect width="7" height="7" /><path d="M0 3.5h7" /></pattern>
        <pattern id="h-over" width="6" height="6" patternUnits="userSpaceOnUse"><rect width="6" height="6" /><path d="M-1 1l2-2M-1 7L7-1M5 7l2-2" /></pattern>
        <pattern id="h-unproven" width="7" height="7" patternUnits="userSpaceOnUse"><rect width="7" height="7" /><path d="M0 0l7 7M7 0l-7 7" /></pattern>
        <g id="m-within"><path d="M2 4.5h15v7H2z" fill="currentColor" /><path d="M24 0v16" stroke="currentColor" stroke-width="2.5" /></g>
        <g id="m-over"><path d="M13.5 4.5h15v7h-15z" fill="currentColor" /><path d="M6 0v16" stroke="currentColor" stroke-width="2.5" /></g>
        <g id="m-unproven"><path d="M2.5 4.5h25v7h-25z" fill="none" stroke="currentColor" stroke-width="1.5" /><path d="M4 11l5-6M9.500 11l4-6M17 11l4-6M22 11l5-6" stroke="currentColor" stroke-width="1.3" /><path d="M15 0v16" stroke="currentColor" stroke-width="2.5" /></g>
        <g id="m-stale"><path d="M2.5 4.5h14v7h-14z" fill="none" stroke="currentColor" stroke-width="1.5" /><path d="M24 0v16" stroke="currentColor" stroke-width="2.5" /><path d="M0 14L21 2" stroke="currentColor" stroke-width="2" /></g>
        <g id="i-north" fill="none" stroke="currentColor" stroke-width="1.6"><path d="M8 19V1L3 10h5" /></g>
        <g id="i-not" fill="none" stroke="currentColor" stroke-width="2.6"><path d="M10 2v11M10 16v2" /></g>
        <g id="i-link" fill="none" stroke="currentColor" stroke-width="1.8"><path d="M1 10h6M13 10h6M9 5l2 10" /></g>
      </defs>
    </svg>
  );
}

export function VerdictMark({ state }: { state: VerdictState | "stale" }) {
  return (
    <span class={`v v-${state}`}>
      <svg viewBox="0 0 30 16" aria-hidden="true"><use href={`#m-${state}`} /></svg>
      {state}
    </span>
  );
}
