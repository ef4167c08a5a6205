// SPDX-License-Identifier: Apache-2.0
// Honest bars: solid to the lower end of the band, hatched to its upper end, an upright for the
// estimate where there is one; one limit line runs through all rows.
import type { Band, FitDocument, VerdictState } from "../api/fit_document";
import { band, degrees, fixed, heading } from "../words/figures";
import { VerdictMark } from "./marks";
import { HonestBar, Ruler } from "./honest_bar";
import { AsTable } from "./parts";

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

export function Bars({ fit }: { fit: FitDocument }) {
  const rows = rowsOf(fit);
  const limit = fit.verdict.limit_deg;
  // An error of half a turn would leave the corrected ones as specks: then its bar is cut.
  const ends = rows.map((row) => row.range[1]);
  const others = Math.max(...ends.slice(1), (limit ?? 0) * 1.15, 0.1);
  const cut = (ends[0] ?? 0) > 8 * others;
  const most = cut ? 2.5 * others : Math.max(...ends, others);
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
              <HonestBar range={row.range} tone={row.tone} most={most} limit={limit} {...(row.estimate === undefined ? {} : { estimate: row.estimate })} />
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
