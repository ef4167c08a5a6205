// SPDX-License-Identifier: Apache-2.0
// A target for a gloved thumb. It acts when it is touched, not when it is let go, and gives on the
// moment of the touch; a keyboard or a reading aid presses it as any button.
import type { ComponentChildren } from "preact";
import { useRef } from "preact/hooks";
import { type Moment, momentAt } from "../state/run_clock";

interface Props {
  class: string;
  act: (moment: Moment) => void;
  disabled?: boolean;
  pressed?: boolean;
  label?: string;
  children: ComponentChildren;
}

/** When an event happened, on the page's steady clock; some browsers leave it out. */
export const momentOf = (event: Event): Moment => momentAt(event.timeStamp > 0 ? event.timeStamp : performance.now());

export function Target({ class: look, act, disabled = false, pressed, label, children }: Props) {
  const acted = useRef(false);
  const pressedBy = (event: Event) => { if (!disabled) act(momentOf(event)); };
  return (
    <button type="button" class={look} aria-disabled={disabled} {...(pressed === undefined ? {} : { "aria-pressed": pressed })} {...(label ? { "aria-label": label } : {})}
      onPointerDown={(event) => {
        if (event.button !== 0) return;
        acted.current = true;
        pressedBy(event);
      }}
      onClick={(event) => {
        if (!acted.current) pressedBy(event);
        acted.current = false;
      }}>
      {children}
    </button>
  );
}
