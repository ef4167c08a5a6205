// SPDX-License-Identifier: Apache-2.0
// Each device, worst first, against the limit line; each row is pressed to see that device's steps.
// After them the phases, each pressed to ask what if.
import { useState } from "preact/hooks";
import type { Band, VerdictState } from "../api/fit_document";
import type { Combination, DisturbanceDocument } from "../api/disturbance_document";
import { band, degrees, fixed } from "../words/figures";
import { deviceAndState, phaseName, whyOf, worstState } from "../words/run_words";
import { HonestBar, Ruler } from "./honest_bar";
import { VerdictMark } from "./marks";
import { AsTable } from "./parts";

interface Row {
  id: string;
  sign: string;
  name: string;
  why: string;
  range: Band;
  estimate?: number;
  repeats?: number[];
  tone: VerdictState;
}

const said = (deg: number, none: boolean) => (none || deg < 0.05 ? {} : { estimate: deg });

export function deviceRows(document: DisturbanceDocument): Row[] {
  return document.devices.flatMap((device, i) => {
    const state = worstState(device);
    if (!state) return [];
    return [{
      id: device.name, sign: String(i + 1), name: deviceAndState(device, state), why: whyOf(device, state),
      range: state.worst_heading_error_95_deg, ...said(state.worst_heading_error_deg, state.no_effect_seen),
      repeats: state.visits.map((visit) => visit.worst_heading_error_deg), tone: state.verdict.state,
    }];
  });
}

export const worstFirst = (all: Combination[]) =>
  [...all].sort((a, b) => b.worst_subset_error_95_deg[1] - a.worst_subset_error_95_deg[1]);

export function phaseRows(document: DisturbanceDocument): Row[] {
  return worstFirst(document.combinations).map((one) => ({
    id: one.phase, sign: "", name: phaseName(one),
    why: `${one.devices.length} together${one.worst_subset.length ? ", the worst choice of the optional ones" : ""}.`,
    range: one.worst_subset_error_95_deg, ...said(one.worst_subset_error_deg, false), tone: one.verdict.state,
  }));
}

/** A bar many times the others is cut, so that these can still be read. */
export function longest(rows: Row[], limit: number): number {
  const ends = rows.map((row) => row.range[1]).sort((a, b) => b - a);
  const typical = Math.max(ends[Math.floor(ends.length / 3)] ?? 0, limit);
  return Math.max(limit * 1.6, Math.min(ends[0] ?? 0, 6 * typical)) * 1.02;
}

function Rows({ rows, most, limit, pressed, onPress, says }: {
  rows: Row[]; most: number; limit: number; pressed: string | null; onPress: (id: string) => void; says: string;
}) {
  return (
    <>
      {rows.map((row) => (
        <button type="button" class={`row ${pressed === row.id ? "here" : ""}`} aria-pressed={pressed === row.id} title={says} onClick={() => onPress(row.id)}>
          <span class="name"><b>{row.sign && <i class="key">{row.sign}</i>}{row.name}</b><span class="why">{row.why}</span></span>
          <span class="cell"><HonestBar {...row} most={most} limit={limit} /></span>
          <span class="figs"><span class="est">{row.estimate === undefined ? "" : degrees(row.estimate)}</span><span class="band">{band(row.range, "°")}</span></span>
          <span class="verdict"><VerdictMark state={row.tone} /></span>
        </button>
      ))}
    </>
  );
}

/** Rows that need not be seen at first: within, and not among the worst eight. */
export function quiet(rows: Row[]): Row[] {
  const rest = rows.slice(8).filter((row) => row.tone === "within");
  return rest.length > 1 ? rest : [];
}

export function RunBars({ rows, limit, basis, pressed, onPress, label, says }: {
  rows: Row[]; limit: number; basis: string; pressed: string | null; onPress: (id: string) => void; label: string; says: string;
}) {
  const [all, setAll] = useState(false);
  const most = longest(rows, limit);
  const hidden = all ? [] : quiet(rows).filter((row) => row.id !== pressed);
  const own = basis.includes("your own");
  return (
    <>
      <div class="bars run" role="group" aria-label={label}>
        <Ruler top most={most} limit={limit} name={`${own ? "your own limit" : "limit"} ${degrees(limit)}`} />
        <Rows rows={rows.filter((row) => !hidden.includes(row))} most={most} limit={limit} pressed={pressed} onPress={onPress} says={says} />
        <Ruler top={false} most={most} limit={null} name="" />
      </div>
      {hidden.length > 0 && <button type="button" class="link" onClick={() => setAll(true)}>{hidden.length} more, none above {degrees(Math.max(...hidden.map((row) => row.range[1])))}</button>}
      <AsTable title="These bars as a table" head={["", "estimate, °", "95 % band, °", "verdict"]}
        rows={rows.map((row) => [row.name, row.estimate === undefined ? "" : fixed(row.estimate, 2), `${fixed(row.range[0], 2)} to ${fixed(row.range[1], 2)}`, row.tone])} />
    </>
  );
}
