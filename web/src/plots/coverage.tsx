// SPDX-License-Identifier: Apache-2.0
// From which directions the field met the sensor: cells of equal area, the square in each grows
// with the number of samples.
import type { Coverage } from "../api/fit_document";
import { count, fixed } from "../words/figures";
import { AsTable, Edge } from "./parts";

const CELL = 11;

export function CoveragePlot({ coverage }: { coverage: Coverage }) {
  const { columns, rows, counts } = coverage;
  const most = Math.max(1, ...counts);
  const side = (n: number) => (n === 0 ? 0 : 3 + (CELL - 4.5) * (Math.log1p(n) / Math.log1p(most)));
  let squares = "";
  counts.forEach((n, i) => {
    const s = side(n);
    if (s === 0) return;
    const x = (i % columns) * CELL + (CELL - s) / 2;
    const y = Math.floor(i / columns) * CELL + (CELL - s) / 2;
    squares += `M${x.toFixed(1)} ${y.toFixed(1)}h${s.toFixed(1)}v${s.toFixed(1)}h${(-s).toFixed(1)}z`;
  });
  const width = columns * CELL;
  const height = rows * CELL;
  const words: [number, string][] = [[0, "x"], [0.25, "y"], [0.5, "−x"], [0.75, "−y"], [1, "x"]];
  const perRow = Array.from({ length: rows }, (_, r) => counts.slice(r * columns, (r + 1) * columns));
  const rowName = (r: number) => {
    const middle = Math.asin((2 * (r + 0.5)) / rows - 1) * (180 / Math.PI);
    return `${fixed(Math.abs(middle), 0)}° ${middle < 0 ? "toward −z" : "toward z"}`;
  };
  return (
    <>
      <figure class="plot square">
        <svg viewBox={`-34 -2 ${width + 44} ${height + 32}`} width={width + 44} height={height + 32} role="img"
          aria-label={`Directions of the field in the sensor's axes: ${fixed(coverage.filled_fraction * 100, 0)} percent of all directions were met, over ${fixed(coverage.heading_arc_deg, 0)} degrees round the z axis.`}>
          <path class="grid" d={Array.from({ length: columns / 2 + 1 }, (_, i) => `M${i * 2 * CELL} 0V${height}`).join("") + Array.from({ length: rows / 2 + 1 }, (_, i) => `M0 ${i * 2 * CELL}H${width}`).join("")} />
          <rect class="frame" x="0" y="0" width={width} height={height} />
          <path class="met" d={squares} />
          <g transform={`translate(0 ${height})`}><svg width={width} height="5" x="0" y="0"><Edge at={Array.from({ length: 13 }, (_, i) => (i / 12) * 100)} y={0} /></svg></g>
          {words.map(([at, word]) => <text class="strong" x={at * width} y={height + 22} text-anchor="middle">{word}</text>)}
          <text x="-6" y="9" text-anchor="end">−z</text>
          <text x="-6" y={height / 2 + 4} text-anchor="end">0</text>
          <text x="-6" y={height} text-anchor="end">z</text>
        </svg>
      </figure>
      <p class="small two">{fixed(coverage.filled_fraction * 100, 0)} % of all directions met, {fixed(coverage.heading_arc_deg, 0)}° round z. Each square is one direction of the field in the sensor’s axes, larger with more samples; what is blank was never met.</p>
      <AsTable title="Coverage as a table" head={["direction", "cells met", "samples"]}
        rows={perRow.map((row, r) => [rowName(r), `${row.filter((n) => n > 0).length} of ${columns}`, count(row.reduce((a, b) => a + b, 0))])} />
    </>
  );
}
