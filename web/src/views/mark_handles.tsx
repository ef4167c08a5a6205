// SPDX-License-Identifier: Apache-2.0
// The marks of one device over its drawing, as handles: dragged, or moved by arrow keys. The answer
// follows.
import type { MarkNow } from "../api/types";
import type { Piece } from "../state/run_marks";
import { marks, moveMark } from "../state/run_session";
import { clock, fixed } from "../words/figures";

const keys: Record<string, number> = {
  ArrowLeft: -0.5, ArrowDown: -0.5, ArrowRight: 0.5, ArrowUp: 0.5, PageDown: -5, PageUp: 5,
};

function movedBy(mark: MarkNow): string {
  const by = mark.time_s - mark.given_s;
  return Math.abs(by) < 0.05 ? "" : `${by > 0 ? "+" : ""}${fixed(by, 1)} s`;
}

function Handle({ mark, piece, low, device }: { mark: MarkNow; piece: Piece; low: boolean; device: string }) {
  const width = piece.to_s - piece.from_s;
  const at = Math.min(100, Math.max(0, ((mark.time_s - piece.from_s) / width) * 100));
  const timeAt = (event: PointerEvent) => {
    const box = (event.currentTarget as HTMLElement).parentElement?.getBoundingClientRect();
    return box ? piece.from_s + Math.min(1, Math.max(0, (event.clientX - box.left) / box.width)) * width : mark.time_s;
  };
  const moved = movedBy(mark);
  return (
    <div class={`handle ${low ? "low" : ""} ${moved ? "moved" : ""}`} style={{ left: `${at}%` }}
      role="slider" tabIndex={0} aria-label={`Mark: ${device} ${mark.state}`}
      aria-valuemin={Math.round(piece.from_s)} aria-valuemax={Math.round(piece.to_s)} aria-valuenow={mark.time_s}
      aria-valuetext={`${clock(mark.time_s, 0.1)}${moved ? `, moved by ${moved}` : ""}`}
      onKeyDown={(event) => {
        const by = keys[event.key];
        if (by === undefined && event.key !== "Home") return;
        event.preventDefault();
        moveMark(mark.index, by === undefined ? mark.given_s : mark.time_s + by);
      }}
      onPointerDown={(event) => { event.currentTarget.setPointerCapture(event.pointerId); event.preventDefault(); event.currentTarget.focus(); }}
      onPointerMove={(event) => { if (event.currentTarget.hasPointerCapture(event.pointerId)) moveMark(mark.index, timeAt(event)); }}>
      <span class="flag">{mark.state}{moved && <i>{moved}</i>}</span>
    </div>
  );
}

export function MarkHandles({ piece, device }: { piece: Piece; device: string }) {
  const now = piece.marks.map((mark) => marks.value.find((one) => one.index === mark.index) ?? mark);
  const near = (i: number) => i % 2 === 1 && now.some((other, j) => j !== i && Math.abs(other.time_s - (now[i]?.time_s ?? 0)) < 0.24 * (piece.to_s - piece.from_s));
  return <div class="handles">{now.map((mark, i) => <Handle mark={mark} piece={piece} low={near(i)} device={device} key={mark.index} />)}</div>;
}
