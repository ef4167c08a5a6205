// SPDX-License-Identifier: Apache-2.0
// What plots are made of. Text keeps its size; only the area inside `Stretch` stretches.
import type { ComponentChildren } from "preact";
import { marks } from "./scale";

export const W = 1000;

/** The graduated edge: filled and empty by turns between neighbouring marks (in % of the width). */
export function Edge({ at, y, height = 5 }: { at: number[]; y: number; height?: number }) {
  return (
    <>
      {at.slice(1).map((end, i) => {
        const begin = at[i] ?? 0;
        return <rect class={`scale ${i % 2 ? "tick-b" : "tick-a"}`} x={`${begin}%`} y={y} width={`${Math.max(0, end - begin)}%`} height={height} />;
      })}
    </>
  );
}

export function Stretch({ height, children }: { height: number; children: ComponentChildren }) {
  return (
    <svg width="100%" height={height} viewBox={`0 0 ${W} ${height}`} preserveAspectRatio="none" class="stretch">
      {children}
    </svg>
  );
}

/** Bounds of the lengths of a graduated edge from `low` to `high`, in %, both ends included. */
export function lengths(low: number, high: number, step: number): number[] {
  const inner = marks(low, high, step).map((value) => ((value - low) / (high - low)) * 100);
  return [0, ...inner.filter((x) => x > 0.01 && x < 99.99), 100];
}

const quarter: Record<number, string> = { 0: "N", 90: "E", 180: "S", 270: "W", 360: "N" };

/** Heading along the bottom: a length each 30 degrees, N again at the right end. */
export function HeadingEdge({ y, words = true }: { y: number; words?: boolean }) {
  const stops = Array.from({ length: 13 }, (_, i) => i * 30);
  return (
    <>
      <Edge at={stops.map((h) => (h / 360) * 100)} y={y} />
      {stops.map((h) => (
        <text class={quarter[h] ? "strong" : "wide"} x={`${(h / 360) * 100}%`} y={y + 21} text-anchor="middle">
          {quarter[h] ?? String(h).padStart(3, "0")}
        </text>
      ))}
      {words && <text x="50%" y={y + 39} text-anchor="middle">magnetic heading, degrees</text>}
    </>
  );
}

export function Section({ title, note, id, children }: { title: string; note?: string | undefined; id?: string; children: ComponentChildren }) {
  return (
    <section class="part" {...(id ? { id } : {})}>
      <div class="sec">
        <h2>{title}</h2>
        {note && <span class="small two">{note}</span>}
      </div>
      {children}
    </section>
  );
}

/** The same figures for those who read or hear rather than look. */
export function AsTable({ title, head, rows }: { title: string; head: string[]; rows: (string | number)[][] }) {
  return (
    <details class="astable">
      <summary><span>{title}</span></summary>
      <div class="scroll" tabIndex={0} role="group" aria-label={title}>
        <table>
          <thead><tr>{head.map((cell) => <th scope="col">{cell}</th>)}</tr></thead>
          <tbody>
            {rows.map((row) => (
              <tr>{row.map((cell, i) => (i === 0 ? <th scope="row">{cell}</th> : <td>{cell}</td>))}</tr>
            ))}
          </tbody>
        </table>
      </div>
    </details>
  );
}
