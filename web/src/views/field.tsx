// SPDX-License-Identifier: Apache-2.0
// One entry: a label, what it is for, and the failure that concerns it.
import type { ComponentChildren } from "preact";
import { type Entries, enter, entries } from "../state/entries";
import { failure } from "../state/session";

interface Common {
  name: keyof Entries;
  label: string;
  hint?: ComponentChildren;
  field?: string;
}

function described(id: string, hint: unknown, field: string | undefined): string | undefined {
  const parts = [hint ? `${id}-hint` : "", field && failure.value?.field === field ? `failure-${field}` : ""];
  return parts.filter(Boolean).join(" ") || undefined;
}

export function Entry({ name, label, hint, field, date, mode, example, wide }: Common & {
  date?: boolean; mode?: "decimal" | "text"; example?: string; wide?: boolean;
}) {
  const id = `e-${name}`;
  const by = described(id, hint, field);
  const same = {
    id, value: entries.value[name], autocomplete: "off", ...(by ? { "aria-describedby": by } : {}),
    "aria-invalid": field !== undefined && failure.value?.field === field,
    onInput: (event: { currentTarget: { value: string } }) => enter({ [name]: event.currentTarget.value }),
  };
  return (
    <div class={`entry ${wide ? "wide" : ""}`}>
      <label for={id}>{label}</label>
      {date ? <input type="date" {...same} /> : (
        <input type="text" {...same} spellcheck={false} {...(mode ? { inputMode: mode } : {})} {...(example ? { placeholder: example } : {})} />
      )}
      {hint && <p class="axis" id={`${id}-hint`}>{hint}</p>}
    </div>
  );
}

export function Lines({ name, label, hint, field, example }: Common & { example?: string }) {
  const id = `e-${name}`;
  const by = described(id, hint, field);
  return (
    <div class="entry wide">
      <label for={id}>{label}</label>
      <textarea id={id} rows={3} value={entries.value[name]} spellcheck={false}
        {...(example ? { placeholder: example } : {})} {...(by ? { "aria-describedby": by } : {})}
        aria-invalid={field !== undefined && failure.value?.field === field}
        onInput={(event) => enter({ [name]: event.currentTarget.value })} />
      {hint && <p class="axis" id={`${id}-hint`}>{hint}</p>}
    </div>
  );
}

export function Pick({ name, label, hint, field, options }: Common & { options: [string, string][] }) {
  const id = `e-${name}`;
  const by = described(id, hint, field);
  return (
    <div class="entry">
      <label for={id}>{label}</label>
      <select id={id} value={entries.value[name]} {...(by ? { "aria-describedby": by } : {})}
        onChange={(event) => enter({ [name]: event.currentTarget.value })}>
        {options.map(([value, words]) => <option value={value} selected={entries.value[name] === value}>{words}</option>)}
      </select>
      {hint && <p class="axis" id={`${id}-hint`}>{hint}</p>}
    </div>
  );
}
