// SPDX-License-Identifier: Apache-2.0
// Honest bars: solid to the lower end of the band, hatched to its upper end, an upright for the
// estimate where there is one; one limit line runs through all rows.
import type { Band, FitDocument, VerdictState } from "../api/fit_document";
import { band, degrees, fixed, heading } from "../words/figures";
import { VerdictMark } from "./marks";
import { AsTable, Edge, lengths } from "./parts";
import { decimalsOf, marks, roundStep } from "./scale";

interface Row {
  name: string;
  why: string;
  range: Band;
  estimate?: number;
  verdict?: VerdictState;
  tone: VerdictState;
}

/** Where a band lies against the limit; only for its ink, the verdict is the program's. */
function toneOf(range: Band, limit: number | null): VerdictState {
  if (limit === null) return "unproven";
  return range[1] <= limit ? "within" : range[0] > limit ? "over" : "unproven";
}

function rowsOf(fit: FitDocument): Row[] {
  const limit = fit.verdict.limit_deg;
  const rows: Row[] = [];
  const before = fit.heading_error_before_deg;
  if (before) {
    rows.push({
      name: "As it is now", why: `without correction; worst near ${heading(before.at_heading_deg)} magnetic`,
      range: before.worst_95_deg, estimate: before.worst, tone: toneOf(before.worst_95_deg, limit),
    });
  }
  const after = fit.heading_error_after_deg;
  if (after) {
    rows.push({
      name: "With the correction", why: "level flight, worst heading", range: after.worst_95_deg,
      verdict: fit.verdict.state, tone: fit.verdict.state,
    });
  }
  for (const f of fit.forecast ?? []) {
    if (f.bank_deg === 0 && f.pitch_deg === 0) continue;
    const attitude = [f.bank_deg && `bank ${fixed(f.bank_deg, 0)}°`, f.pitch_deg && `pitch ${fixed(f.pitch_deg, 0)}°`].filter(Boolean).join(", ");
    rows.push({
      name: `Corrected, ${attitude}`, why: "", range: f.worst_95_deg,
      tone: fit.frame === "sensor" ? "unproven" : toneOf(f.worst_95_deg, limit),
    });
  }
  return rows;
}

function Ruler({ top, most, limit, name }: { top: boolean; most: number; limit: number | null; name: string }) {
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

export function Bars({ fit }: { fit: FitDocument }) {
  const rows = rowsOf(fit);
  const limit = fit.verdict.limit_deg;
  // An error of half a turn would leave the corrected ones as specks: then its bar is cut.
  const ends = rows.map((row) => row.range[1]);
  const others = Math.max(...ends.slice(1), (limit ?? 0) * 1.15, 0.1);
  const cut = (ends[0] ?? 0) > 8 * others;
  const most = cut ? 2.5 * others : Math.max(...ends, others);
  const at = (value: number) => `${Math.min(100, Math.max(0, (value / most) * 100))}%`;
  const own = fit.verdict.basis?.includes("your own") ?? false;
  const name = limit === null ? "" : `${own ? "your own limit" : "limit"} ${degrees(limit)}`;
  return (
    <>
      <div class="bars" role="group" aria-label="Heading error, worst over all headings, against the limit">
        <Ruler top most={most} limit={limit} name={name} />
        {rows.map((row) => (
          <div class={`row ${row.verdict ? "judged" : ""}`}>
            <span class="name"><b>{row.name}</b>{row.why && <span class="why">{row.why}</span>}</span>
            <span class="cell">
              <svg aria-hidden="true">
                {marks(0, most, roundStep(most, 4)).map((value) => <line class="grid" x1={at(value)} x2={at(value)} y1="0" y2="100%" />)}
                <rect class={`sure ${row.tone} bar`} x="0" y="50%" width={at(row.range[0])} height="13" />
                <rect class={`maybe ${row.tone} bar`} x={at(row.range[0])} y="50%" width={`${(Math.max(0, Math.min(row.range[1], most) - Math.min(row.range[0], most)) / most) * 100}%`} height="13" />
                {limit !== null && <line class="limit" x1={at(limit)} x2={at(limit)} y1="0" y2="100%" />}
                {row.range[1] > most && (
                  <svg x="94%" y="50%" overflow="visible"><path class="cut" d="M-3 11L3 -11h7L4 11z" /><path class="scale" d="M-3 11L3 -11M4 11L10 -11" /></svg>
                )}
                {row.estimate !== undefined && row.estimate <= most && <rect class="best upright" x={at(row.estimate)} y="50%" width="5" height="22" />}
              </svg>
            </span>
            <span class="figs"><span class="est">{row.estimate === undefined ? "" : degrees(row.estimate)}</span><span class="band">{band(row.range, "°")}</span></span>
            <span class="verdict">{row.verdict && <VerdictMark state={row.verdict} />}</span>
          </div>
        ))}
        <Ruler top={false} most={most} limit={null} name="" />
      </div>
      {limit !== null && fit.verdict.basis && <p class="axis basis">Limit {degrees(limit)}: {fit.verdict.basis}.</p>}
      <AsTable title="These bars as a table" head={["flown", "estimate", "95 % band, degrees"]}
        rows={rows.map((row) => [row.name, row.estimate === undefined ? "" : degrees(row.estimate), `${fixed(row.range[0], 2)} to ${fixed(row.range[1], 2)}`])} />
    </>
  );
}
