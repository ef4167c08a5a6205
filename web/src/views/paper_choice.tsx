// SPDX-License-Identifier: Apache-2.0
// The paper of the sheet; kept, and the same for every sheet.
import { useState } from "preact/hooks";
import { keep, kept } from "../state/kept";

export function usePaper(): [string, (next: string) => void] {
  const [paper, setPaper] = useState(kept("paper", "a4"));
  return [paper, (next) => { setPaper(next); keep("paper", next); }];
}

export function PaperChoice({ paper, choose }: { paper: string; choose: (next: string) => void }) {
  return (
    <fieldset class="either">
      <legend class="unseen">Paper of the sheet</legend>
      <label><input type="radio" name="paper" checked={paper === "a4"} onChange={() => choose("a4")} /> A4</label>
      <label><input type="radio" name="paper" checked={paper === "letter"} onChange={() => choose("letter")} /> Letter</label>
    </fieldset>
  );
}
