// SPDX-License-Identifier: Apache-2.0
// The recorded field over time: x, y, z and its size under each other, lowest to highest in each
// piece. Moves by buttons and by + − ← → while one of them has the focus.
import { useEffect, useRef, useState } from "preact/hooks";
import { Refused, series } from "../api/client";
import type { Channel, Recording, Series } from "../api/types";
import { clock, fixed, significant, span } from "../words/figures";
import { AsTable, Edge, lengths, Stretch, W } from "./parts";
import { clockStep, marks } from "./scale";

const HEIGHT = 62;
const GAP = 10;
const channels = [["x", "x"], ["y", "y"], ["z", "z"], ["size", "size"]] as const;

function useSeries(recording: Recording, from: number, to: number) {
  const [shown, setShown] = useState<Series | null>(null);
  const [trouble, setTrouble] = useState("");
  useEffect(() => {
    const stop = new AbortController();
    series(recording.id, from, to, 600, stop.signal)
      .then((got) => { setShown(got); setTrouble(""); })
      .catch((failed: unknown) => {
        if (!stop.signal.aborted) setTrouble(failed instanceof Refused ? `${failed.parts.what}: ${failed.parts.remedy}` : String(failed));
      });
    return () => stop.abort();
  }, [recording.id, from, to]);
  return { shown, trouble };
}

function path(shown: Series, channel: Channel, x: (t: number) => number, y: (v: number) => number): string {
  // One pen stroke: up and down through every piece, on from the nearer end of the next.
  const points: string[] = [];
  let pen = channel.min[0] ?? 0;
  channel.min.forEach((low, i) => {
    const high = channel.max[i] ?? low;
    const at = x(shown.time_s[i] ?? 0).toFixed(1);
    const [near, far] = Math.abs(low - pen) <= Math.abs(high - pen) ? [low, high] : [high, low];
    points.push(`${at} ${y(near).toFixed(1)}`);
    if (far !== near) points.push(`${at} ${y(far).toFixed(1)}`);
    pen = far;
  });
  return `M${points.join("L")}`;
}

export function FieldTrace({ recording }: { recording: Recording }) {
  const begin = recording.start_s;
  const end = begin + Math.max(recording.duration_s, 1e-3);
  const [[from, to], setView] = useState<[number, number]>([begin, end]);
  useEffect(() => setView([begin, end]), [recording.id]);
  const { shown, trouble } = useSeries(recording, from, to);
  const drag = useRef<number | null>(null);
  const least = Math.max((recording.tally.median_interval_s || 0.01) * 10, 1e-3);

  const show = (a: number, b: number) => {
    const width = Math.min(end - begin, Math.max(least, b - a));
    const start = Math.min(Math.max(begin, a + (b - a - width) / 2), end - width);
    setView([start, start + width]);
  };
  const width = to - from;
  const acts: [string, string, () => void, boolean][] = [
    ["+", "Closer", () => show(from + width / 4, to - width / 4), width <= least * 1.01],
    ["−", "Wider", () => show(from - width / 2, to + width / 2), width >= (end - begin) * 0.999],
    ["←", "Earlier", () => show(from - width / 2, to - width / 2), from <= begin],
    ["→", "Later", () => show(from + width / 2, to + width / 2), to >= end],
  ];
  const onKey = (event: KeyboardEvent) => {
    const key = event.key === "-" ? "−" : event.key === "=" ? "+" : event.key === "ArrowLeft" ? "←" : event.key === "ArrowRight" ? "→" : event.key;
    const act = acts.find(([sign]) => sign === key);
    if (!act || act[3]) return;
    event.preventDefault();
    act[2]();
  };

  const unit = recording.unit === "counts" ? "counts" : "µT";
  const x = (t: number) => ((t - from) / width) * W;
  const every = clockStep(width, 8);
  const total = channels.length * (HEIGHT + GAP);
  const timeAt = (event: PointerEvent) => {
    const box = (event.currentTarget as SVGElement).getBoundingClientRect();
    return from + Math.min(1, Math.max(0, (event.clientX - box.left) / box.width)) * width;
  };
  const rows = shown ? Array.from({ length: Math.min(20, shown.time_s.length) }, (_, i) => Math.floor((i * shown.time_s.length) / Math.min(20, shown.time_s.length))) : [];
  return (
    <div class="trace" onKeyDown={onKey}>
      <figure class="plot with-edge">
        <svg width="100%" height={total} role="img"
          aria-label={`The recorded field in ${unit}, from ${span(from)} to ${span(to)} of ${span(end - begin)}: x, y, z and its size.`}
          onPointerDown={(event) => { if (event.pointerType === "mouse") drag.current = timeAt(event); }}
          onPointerUp={(event) => {
            if (drag.current === null) return;
            const [a, b] = [drag.current, timeAt(event)].sort((p, q) => p - q) as [number, number];
            drag.current = null;
            if (b - a > width / 50) show(a, b);
          }}>
          {shown && channels.map(([key, name], i) => {
            const channel = shown[key];
            const low = Math.min(...channel.min);
            const high = Math.max(...channel.max);
            const room = high > low ? high - low : 1;
            const top = i * (HEIGHT + GAP);
            const y = (v: number) => top + HEIGHT - 3 - ((v - low) / room) * (HEIGHT - 6);
            return (
              <>
                <text class="strong" x="-7" y={top + HEIGHT / 2 + 4.5} text-anchor="end">{name}</text>
                <text x="-7" y={top + 11} text-anchor="end">{significant(high, 3)}</text>
                <text x="-7" y={top + HEIGHT - 1} text-anchor="end">{significant(low, 3)}</text>
                <Stretch height={total}>
                  <line class="grid" x1="0" x2={W} y1={top} y2={top} />
                  <line class="grid" x1="0" x2={W} y1={top + HEIGHT} y2={top + HEIGHT} />
                  <path class="data" d={path(shown, channel, x, y)} />
                </Stretch>
              </>
            );
          })}
          <Edge at={lengths(from, to, every)} y={total} />
          {marks(from, to, every * 2).map((t) => {
            const at = ((t - from) / width) * 100;
            return <text x={`${at}%`} y={total + 21} text-anchor={at < 3 ? "start" : at > 97 ? "end" : "middle"}>{clock(t, every)}</text>;
          })}
          <text x="50%" y={total + 39} text-anchor="middle">time, minutes and seconds</text>
        </svg>
      </figure>
      {trouble && <p class="small" role="status">The field cannot be drawn. {trouble}.</p>}
      <div class="zoom" role="group" aria-label="Part of the recording that is shown">
        {acts.map(([sign, name, act, off]) => (
          <button type="button" class="choice" aria-disabled={off} onClick={() => { if (!off) act(); }}><span aria-hidden="true">{sign}</span> {name}</button>
        ))}
        <button type="button" class="choice" aria-disabled={width >= (end - begin) * 0.999} onClick={() => setView([begin, end])}>Whole</button>
      </div>
      {shown && (
        <AsTable title="This part as a table" head={["time", ...channels.map(([, name]) => `${name}, ${unit}`)]}
          rows={rows.map((i) => [clock(shown.time_s[i] ?? 0, every / 10), ...channels.map(([key]) => {
            const low = shown[key].min[i] ?? 0;
            const high = shown[key].max[i] ?? 0;
            const decimals = unit === "counts" ? 0 : 2;
            return low === high ? fixed(low, decimals) : `${fixed(low, decimals)} to ${fixed(high, decimals)}`;
          })])} />
      )}
    </div>
  );
}
