// SPDX-License-Identifier: Apache-2.0
// A reading of a display, typed. What is expected is not shown: it would be agreed with.
import { useEffect, useRef, useState } from "preact/hooks";
import { Refused } from "../api/client";
import * as api from "../api/run";
import type { RunLink } from "../api/run";
import { Target } from "./live_target";

const keys = ["1", "2", "3", "4", "5", "6", "7", "8", "9", ".", "0"];
const kLongest = 5;

export function TypedEntry({ links, close }: { links: RunLink[]; close: () => void }) {
  const [text, setText] = useState("");
  const [which, setWhich] = useState(links[0]?.number ?? 0);
  const [said, setSaid] = useState("");
  const field = useRef<HTMLInputElement>(null);
  useEffect(() => field.current?.focus({ preventScroll: true }), []);
  const enter = (next: string) => setText(next.replace(",", ".").replace(/[^\d.]/g, "").slice(0, kLongest));
  const send = async () => {
    if (!text) return setSaid("Nothing is typed yet.");
    try {
      await api.typed(text, which);
      setSaid(`${text} is kept.`);
      setText("");
    } catch (trouble) {
      // Its time is that of its arrival, so it is not kept here for later.
      const parts = trouble instanceof Refused ? trouble.parts : null;
      setSaid(parts && parts.where !== "link to the program" ? `Not kept: ${parts.what}. ${parts.remedy}.` : "Not kept: the link is down. Read the display again when it is back.");
    }
  };
  return (
    <form class="choosing typing" onSubmit={(event) => { event.preventDefault(); void send(); }}>
      <label class="kicker" for="reading">The heading that the display shows, °</label>
      <input id="reading" class="reading-field" inputMode="none" autocomplete="off" value={text} ref={field} aria-describedby="reading-said"
        onInput={(event) => enter(event.currentTarget.value)} />
      {links.length > 1 && (
        <div class="further">{links.map((link) => <Target key={link.number} class="choice" pressed={which === link.number} act={() => setWhich(link.number)}>{link.address}</Target>)}</div>
      )}
      <div class="grid pad">
        {keys.map((key) => <Target key={key} class="choice" act={() => enter(text + key)}>{key}</Target>)}
        <Target class="choice" label="Undo the last figure" act={() => setText(text.slice(0, -1))}>Undo</Target>
      </div>
      <div class="further">
        <Target class="choice back" act={close}>Back</Target>
        <Target class="press" act={() => void send()}>Keep the reading</Target>
      </div>
      <p class="axis" id="reading-said" role="status">{said}</p>
    </form>
  );
}
