// SPDX-License-Identifier: Apache-2.0
// What the answers of a swing and of a check in the air have in common: the largest deviation against
// its limit, the five coefficients, sentences.
import type { ComponentChildren } from "preact";
import type { FiveBands, Five } from "../api/deviation_document";
import type { Band, VerdictState } from "../api/fit_document";
import { HonestBar, Ruler } from "../plots/honest_bar";
import { VerdictMark } from "../plots/marks";
import { Section } from "../plots/parts";
import { airSentence, comesFrom, letters, signed } from "../words/air_words";
import { band, degrees, fixed, heading } from "../words/figures";

export interface Judged {
  worst_deviation_deg: number | null;
  worst_95_deg: Band | null;
  worst_at_deg: number | null;
  verdict: { state: VerdictState; limit_deg: number | null; limit_basis: string | null };
}

export function Largest({ of, name }: { of: Judged; name: string }) {
  const { worst_95_deg: range, worst_deviation_deg: estimate, worst_at_deg, verdict } = of;
  if (!range || estimate === null) return null;
  const limit = verdict.limit_deg;
  const most = Math.max(range[1], (limit ?? 0) * 1.15, 0.1) * 1.04;
  const own = verdict.limit_basis?.includes("your own") ?? false;
  return (
    <Section title="Largest deviation" note="degrees · solid: at least · hatched: 95 % band">
      <div class="bars" role="group" aria-label="Largest deviation over all headings, against the limit">
        <Ruler top most={most} limit={limit} name={limit === null ? "" : `${own ? "your own limit" : "limit"} ${degrees(limit)}`} />
        <div class="row judged">
          <span class="name"><b>{name}</b><span class="why">on {heading(worst_at_deg ?? 0)} indicated</span></span>
          <span class="cell"><HonestBar range={range} tone={verdict.state} most={most} limit={limit} estimate={estimate} /></span>
          <span class="figs"><span class="est">{degrees(estimate)}</span><span class="band">{band(range, "°")}</span></span>
          <span class="verdict">{limit !== null && <VerdictMark state={verdict.state} />}</span>
        </div>
        <Ruler top={false} most={most} limit={null} name="" />
      </div>
      {limit !== null && verdict.limit_basis && <p class="axis basis">Limit {degrees(limit)}: {verdict.limit_basis}.</p>}
    </Section>
  );
}

export function Coefficients({ of, exact, not, children }: {
  of: { coefficients_deg: Five; sigma_deg: Five; coefficients_95_deg: FiveBands }; exact: boolean; not: string; children?: ComponentChildren;
}) {
  return (
    <Section title="Coefficients" note={exact ? "exact, times 57.3" : "degrees"}>
      <table class="letters">
        <thead><tr><th scope="col"><span class="unseen">coefficient</span></th><th scope="col">estimate</th><th scope="col">1 sigma</th><th scope="col">95 % band</th></tr></thead>
        <tbody>{letters.map((letter) => {
          const value = of.coefficients_deg[letter];
          const range = of.coefficients_95_deg[letter];
          const sigma = of.sigma_deg[letter];
          return (
            <tr>
              <th scope="row">{letter}<span class="why">{comesFrom[letter]}</span></th>
              {value === null || range === null || sigma === null ? <td colSpan={3} class="two">{not}</td> : (
                <><td>{signed(value, 1)}</td><td>{fixed(sigma, 1)}</td><td>{signed(range[0], 1)} to {signed(range[1], 1)}</td></>
              )}
            </tr>
          );
        })}</tbody>
      </table>
      {children}
    </Section>
  );
}

export function List({ title, items }: { title: string; items: string[] }) {
  if (!items.length) return null;
  return <Section title={title}><ul class="plain">{items.map((item) => <li>{airSentence(item)}</li>)}</ul></Section>;
}
