// SPDX-License-Identifier: Apache-2.0
// One honest bar: solid to the lower end of the band, hatched to its upper end, an upright for the
// estimate, a ring for each repeat; and the ruler above and below rows of them.
import type { Band, VerdictState } from "../api/fit_document";
import { fixed } from "../words/figures";
import { Edge, lengths } from "./parts";
import { decimalsOf, marks, roundStep } from "./scale";

export function Ruler({ top, most, limit, name }: { top: boolean; most: number; limit: number | null; name: string }) {
  const step = roundStep(most, 4);
  const y = top ? 37 : 0;
  const stops = marks(0, most, step);
  const near = limit === null ? -1 : (limit / most) * 100;
  return (
    <div class={`row ruler ${top ? "" : "end"}`} aria-hidden="true">
      <span class="cell">
        <svg aria-hidden="true">
          <Edge at={lengths(0, most, step)} y={y} />
          {stops.map((value) => {
            const x = (value / most) * 100;
            if (top && Math.abs(x - near) < 4) return null;
            return <text x={`${x}%`} y={top ? 31 : 20} text-anchor={x < 3 ? "start" : x > 97 ? "end" : "middle"}>{fixed(value, decimalsOf(step))}°</text>;
          })}
          {top && limit !== null && (
            <>
              <line class="limit" x1={`${near}%`} x2={`${near}%`} y1="18" y2="42" />
              <text class="strong" x={`${near}%`} y="12" text-anchor={near < 30 ? "start" : near > 70 ? "end" : "middle"}>{name}</text>
            </>
          )}
        </svg>
      </span>
    </div>
  );
}

export function HonestBar({ range, tone, most, limit, estimate, repeats = [] }: {
  range: Band; tone: VerdictState; most: number; limit: number | null; estimate?: number; repeats?: number[];
}) {
  const at = (value: number) => `${Math.min(100, Math.max(0, (value / most) * 100))}%`;
  return (
    <svg aria-hidden="true">
      {marks(0, most, roundStep(most, 4)).map((value) => <line class="grid" x1={at(value)} x2={at(value)} y1="0" y2="100%" />)}
      <rect class={`sure ${tone} bar`} x="0" y="50%" width={at(range[0])} height="13" />
      <rect class={`maybe ${tone} bar`} x={at(range[0])} y="50%" width={`${(Math.max(0, Math.min(range[1], most) - Math.min(range[0], most)) / most) * 100}%`} height="13" />
      {limit !== null && <line class="limit" x1={at(limit)} x2={at(limit)} y1="0" y2="100%" />}
      {range[1] > most && (
        <svg x="94%" y="50%" overflow="visible"><path class="cut" d="M-3 11L3 -11h7L4 11z" /><path class="scale" d="M-3 11L3 -11M4 11L10 -11" /></svg>
      )}
      {estimate !== undefined && estimate <= most && <rect class="best upright" x={at(estimate)} y="50%" width="5" height="22" />}
      {repeats.filter((value) => value <= most).map((value) => <circle class="reading repeat" cx={at(value)} cy="50%" r="3.4" />)}
    </svg>
  );
}
