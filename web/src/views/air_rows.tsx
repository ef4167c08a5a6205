// SPDX-License-Identifier: Apache-2.0
// Each leg with its use, and for a log the stretches that were none, with the reason.
import type { AirDocument, AirLeg } from "../api/air_document";
import { LegMark, useWords } from "../plots/ground_velocities";
import { AsTable, Section } from "../plots/parts";
import { numbered, type NumberedLeg } from "../plots/velocity_places";
import { airSentence, leftOut, signed, timesOf } from "../words/air_words";
import { fixed, heading } from "../words/figures";

const degrees3 = (value: number | null | undefined) => (typeof value === "number" ? heading(value) : "·");
const plus = (value: number | null | undefined) => (typeof value === "number" ? signed(value, 1) : "·");

function Row({ one }: { one: NumberedLeg }) {
  const { leg } = one;
  return (
    <>
      <tr>
        <th scope="row"><svg width="22" height="20" aria-hidden="true"><LegMark use={one.use} cx={11} cy={10} /></svg> {one.name}<span class="unseen">, {useWords[one.use]}</span></th>
        <td>{degrees3(leg.indicated_deg)}</td><td>{degrees3(leg.track_deg)}</td><td>{fixed(leg.groundspeed_kt ?? 0, 1)}</td>
        <td>{degrees3(leg.true_heading_deg)}</td><td>{plus(leg.along_kt)}</td><td>{plus(leg.residual_deg)}</td>
      </tr>
      {one.use !== "used" && <tr class="why-row"><td colSpan={7}>{one.use === "left" ? `Not used: ${airSentence(leg.why_not ?? "").replace(/^./, (c) => c.toLowerCase())}` : "One of its readings may be wrong; used all the same."}</td></tr>}
    </>
  );
}

const use = (leg: AirLeg) => (leg.used ? "used" : airSentence(leg.why_not ?? "").replace(/\.$/, ""));

function Stretches({ document }: { document: AirDocument }) {
  const long = leftOut(document);
  return (
    <Section title="Not used" note="stretches of the log, from and to">
      {long.length > 0 ? (
        <ul class="plain">{long.map((leg) => <li><b>{timesOf(leg)}</b> {airSentence(leg.why_not ?? "")}</li>)}</ul>
      ) : <p class="small">Nothing longer than a turn.</p>}
      <AsTable title={`All ${document.legs.length} stretches of the log as a table`} head={["from, to", "use"]}
        rows={document.legs.map((leg) => [timesOf(leg), use(leg)])} />
    </Section>
  );
}

export function AirRows({ document }: { document: AirDocument }) {
  const legs = numbered(document);
  return (
    <>
      {legs.length > 0 && (
        <Section title="The legs" note="degrees and knots">
          <table class="leg-rows">
            <thead><tr><th scope="col">leg</th><th scope="col">heading shown</th><th scope="col">track</th><th scope="col">ground speed</th><th scope="col">true heading</th><th scope="col">air, more or less</th><th scope="col">left</th></tr></thead>
            <tbody>{legs.map((one) => <Row one={one} />)}</tbody>
          </table>
          <p class="axis basis">Left: deviation seen less the curve. Air: airspeed of the leg against the common one.</p>
        </Section>
      )}
      {document.flight.kind === "log" && <Stretches document={document} />}
    </>
  );
}
