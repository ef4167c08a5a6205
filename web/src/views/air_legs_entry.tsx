// SPDX-License-Identifier: Apache-2.0
// Legs typed as they were written down. Enter goes on to the next field, as a column of figures is
// typed; after the last there is a new leg.
import { useEffect, useRef } from "preact/hooks";
import { addLeg, changeLeg, legs, removeLeg } from "../state/air_session";
import type { TypedLeg } from "../state/air_query";
import { failure } from "../state/session";

const columns: [keyof TypedLeg, string, string][] = [
  ["indicated", "Heading shown, °", "heading shown"], ["track", "Track, °", "track"], ["speed", "Ground speed, kt", "ground speed"],
];

export function LegsEntry() {
  const table = useRef<HTMLDivElement>(null);
  const grown = useRef(false);
  const fields = () => [...(table.current?.querySelectorAll("input") ?? [])];
  const rows = legs.value;
  // The field that Enter asked for is there only when the new leg is drawn.
  useEffect(() => {
    if (!grown.current) return;
    grown.current = false;
    fields()[3 * (rows.length - 1)]?.focus();
  }, [rows.length]);
  const onward = (event: KeyboardEvent & { currentTarget: HTMLInputElement }) => {
    if (event.key !== "Enter") return;
    event.preventDefault();
    const all = fields();
    const next = all[all.indexOf(event.currentTarget) + 1];
    if (next) return next.focus();
    grown.current = true;
    addLeg();
  };
  const wrong = failure.value?.field === "flight" ? failure.value.where : "";
  return (
    <div class="typed-legs" ref={table} role="group" aria-label="The legs, in the order flown">
      <p class="heads axis" aria-hidden="true"><span />{columns.map(([, head]) => <span>{head}</span>)}<span /></p>
      {rows.map((leg, i) => (
        <div class="typed-leg">
          <span class="nr">{i + 1}</span>
          {columns.map(([key, , word]) => (
            <input type="text" inputMode="decimal" autocomplete="off" spellcheck={false} value={leg[key]} aria-label={`Leg ${i + 1}, ${word}`}
              aria-invalid={wrong.startsWith(`Leg ${i + 1},`)} onKeyDown={onward}
              onInput={(event) => changeLeg(i, { [key]: event.currentTarget.value })} />
          ))}
          <button type="button" class="choice" onClick={() => removeLeg(i)} aria-label={`Leave out leg ${i + 1}`}>
            <svg width="18" height="18" viewBox="0 0 20 20" aria-hidden="true"><path d="M4 10h12" stroke="currentColor" stroke-width="2" /></svg>
          </button>
        </div>
      ))}
      <p class="acts"><button type="button" class="choice" onClick={() => { grown.current = true; addLeg(); }}>Add a leg</button></p>
      <p class="axis">What the display showed, and track and ground speed of the satellite receiver. An empty cell is allowed: without a heading a leg still helps to find the wind.</p>
    </div>
  );
}
