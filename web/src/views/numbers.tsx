// SPDX-License-Identifier: Apache-2.0
// The numbers, for whoever copies them into the sensor or signs the sheet.
import type { ComponentChildren } from "preact";
import type { FitDocument } from "../api/fit_document";
import { count, day, fixed, minus, significant, span } from "../words/figures";

const motionWords = { tumble: "through many attitudes", swing: "one level turn", stations: "a turn with stops on known headings" };

function Row({ name, children }: { name: string; children: ComponentChildren }) {
  return <div><dt>{name}</dt><dd>{children}</dd></div>;
}

export function Numbers({ fit }: { fit: FitDocument }) {
  const unit = fit.raw_unit === "counts" ? "counts" : "µT";
  // As many decimals for all nine as give the largest five figures, so that they can be compared.
  const largest = Math.max(...(fit.matrix ?? []).flat().map(Math.abs), 1e-9);
  const places = Math.max(0, Math.min(9, 4 - Math.floor(Math.log10(largest))));
  const three = (values: readonly number[], decimals: number) => values.map((v) => fixed(v, decimals)).join(", ");
  return (
    <>
      <dl class="numbers">
        <Row name="Samples">{count(fit.samples.used)} used, {count(fit.samples.rejected)} left out, {count(fit.samples.repaired)} mended</Row>
        <Row name="Length">{span(fit.recording.duration_s)}</Row>
        <Row name="Moved">{motionWords[fit.motion]}</Row>
        <Row name="Axes">{fit.frame === "body" ? "the airframe’s" : "the sensor’s own"}</Row>
        {fit.recording.place && <Row name="Place, day">{minus(fit.recording.place)}; {day(fit.recording.day)}</Row>}
        <Row name="Earth’s field">F {fixed(fit.earth.F_uT, 2)}, H {fixed(fit.earth.H_uT, 2)}, Z {fixed(fit.earth.Z_uT, 2)} µT; dip {fixed(fit.earth.dip_deg, 1)}°{fit.earth.declination_deg === null ? "" : `; variation ${fixed(fit.earth.declination_deg, 1)}°`} ({fit.earth.source})</Row>
        {fit.offset_raw && <Row name={`Offset, ${unit}`}>{three(fit.offset_raw, unit === "counts" ? 1 : 3)}</Row>}
        {fit.offset_uT && unit === "counts" && <Row name="Offset, µT">{three(fit.offset_uT, 3)}</Row>}
        {fit.offset_sigma_uT && <Row name="Its 1 sigma, µT">{three(fit.offset_sigma_uT, 3)}</Row>}
        {fit.noise && <Row name="Noise">{fixed(fit.noise.sigma_uT, 3)} µT, {fit.noise.correlation_time_s > 0 ? `alike over ${significant(fit.noise.correlation_time_s, 2)} s` : "each sample on its own"}</Row>}
        {fit.condition !== null && <Row name="Condition">{significant(fit.condition, 2)}</Row>}
      </dl>
      {fit.matrix && (
        <table class="matrix">
          <caption>Correction matrix: corrected = matrix × (raw − offset)</caption>
          <thead class="unseen"><tr><th scope="col">axis</th><th scope="col">raw x</th><th scope="col">raw y</th><th scope="col">raw z</th></tr></thead>
          <tbody>{fit.matrix.map((row, i) => <tr><th scope="row">{"xyz"[i]}</th>{row.map((value) => <td>{fixed(value, places)}</td>)}</tr>)}</tbody>
        </table>
      )}
      <p class="axis hash">SHA-256 {fit.recording.sha256.replace(/(.{4})(?=.)/g, "$1 ")}</p>
    </>
  );
}
