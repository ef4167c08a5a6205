// SPDX-License-Identifier: Apache-2.0
// What if: the devices of a phase switched on and off, and what then is left of its error.
import { useEffect, useState } from "preact/hooks";
import type { Combination } from "../api/disturbance_document";
import { worstFirst } from "../plots/device_bars";
import { HeadingCurves, type NamedCurve } from "../plots/heading_curves";
import { VerdictMark } from "../plots/marks";
import { Section } from "../plots/parts";
import { askWhatIf, type RunAnswer, whatIfAnswer } from "../state/run_session";
import { band, capital, degrees } from "../words/figures";
import { phaseName } from "../words/run_words";

function Chip({ name, sign, on, onChange }: { name: string; sign: string; on: boolean; onChange: () => void }) {
  return (
    <label class="chip">
      <input type="checkbox" checked={on} onChange={onChange} />
      <svg viewBox="0 0 20 20" width="20" height="20" aria-hidden="true"><path class="box" d="M2 2h16v16H2z" /><path class="tk" d="M5 10l4 5 7-11" /></svg>
      <span><i class="key">{sign}</i>{capital(name)}</span>
    </label>
  );
}

const list = (names: string[]) => (names.length < 2 ? names.join("") : `${names.slice(0, -1).join(", ")} and ${names[names.length - 1]}`);

/** What differs from the phase as it is, in words. */
export function differs(phase: Combination, on: string[]): string {
  const off = phase.devices.filter((name) => !on.includes(name));
  if (!off.length) return `With everything of ${phaseName(phase).toLowerCase()} on`;
  if (!on.length) return "With nothing on";
  return off.length <= on.length ? `With ${list(off)} off` : `With only ${list(on)} on`;
}

export function WhatIf({ answer, phaseOf, choosePhase }: { answer: RunAnswer; phaseOf: string | null; choosePhase: (phase: string) => void }) {
  const { document } = answer;
  const phases = worstFirst(document.combinations);
  const phase = phases.find((one) => one.phase === phaseOf) ?? phases[0];
  const [off, setOff] = useState<Record<string, string[]>>({});
  const mine = phase ? off[phase.phase] ?? [] : [];
  const on = phase ? phase.devices.filter((name) => !mine.includes(name)) : [];
  const all = mine.length === 0;
  const key = `${answer.id} ${answer.version} ${on.join("|")}`;
  useEffect(() => { if (!all) askWhatIf({ key, id: answer.id, on }); }, [key, all]);
  if (!phase) return null;
  const given = whatIfAnswer.value;
  const together = all ? phase : given;
  const now = all ? phase : given?.key === key ? given.together : null;
  const sign = (name: string) => String(document.devices.findIndex((device) => device.name === name) + 1);
  const curves: NamedCurve[] = all ? [{ name: "everything on", tone: "fit", points: phase.curve }]
    : [{ name: "everything on", tone: "was", dash: "d2", points: phase.curve, banded: false }, ...(now ? [{ name: "as ticked", tone: "fit" as const, points: now.curve }] : [])];
  return (
    <Section title="What if" note="error over heading, degrees" id="what-if">
      <div class="entry phase">
        <label for="phase">Flight phase</label>
        <select id="phase" value={phase.phase} onChange={(event) => choosePhase(event.currentTarget.value)}>
          {phases.map((one) => <option value={one.phase} selected={one.phase === phase.phase}>{phaseName(one)}</option>)}
        </select>
      </div>
      <HeadingCurves curves={curves} limit={document.limit_deg} height={180} wide={640} title="These curves as a table"
        label={`Heading error over magnetic heading, ${phaseName(phase)}: everything on, ${degrees(phase.worst_heading_error_deg)} at worst${now && !all ? `; as ticked, ${degrees(now.worst_heading_error_deg)}` : ""}.`} />
      <div class="whatif" role="group" aria-label="Devices on in this phase">
        {phase.devices.map((name) => (
          <Chip name={name} sign={sign(name)} on={!mine.includes(name)} key={name}
            onChange={() => setOff({ ...off, [phase.phase]: mine.includes(name) ? mine.filter((one) => one !== name) : [...mine, name] })} />
        ))}
      </div>
      <p class="answer" role="status">
        {now && together && <>{differs(phase, on)}: <b>{degrees(now.worst_heading_error_deg)}</b> at the worst heading ({band(now.worst_heading_error_95_deg)}){all ? ". " : <>; it was <b>{degrees(phase.worst_heading_error_deg)}</b>. </>}<VerdictMark state={now.verdict.state} /></>}
      </p>
      {!all && <p class="axis">The band of a choice takes the devices’ errors as independent; that of the whole phase also knows what they share.</p>}
    </Section>
  );
}
