// SPDX-License-Identifier: Apache-2.0
// The recording: whole, or the steps of the device that was chosen, with its marks to move.
import { useEffect, useRef } from "preact/hooks";
import { RunPlot, setTimes } from "../plots/run_trace";
import { alongGround, linesAlong, roomFor } from "../plots/run_lines";
import { piecesOf } from "../state/run_marks";
import { anyMoved, chosen, following, marks, marksAsInFile, type RunAnswer } from "../state/run_session";
import { capital, clock, fixed, heading, sentence, span } from "../words/figures";
import { worstState } from "../words/run_words";
import { FailureAt } from "./failure";
import { MarkHandles } from "./mark_handles";

const whole = [{ name: "forward, µT", unit: [1, 0, 0] }, { name: "right, µT", unit: [0, 1, 0] }];

function Steps({ answer, name }: { answer: RunAnswer; name: string }) {
  const { document } = answer;
  const device = document.devices.find((one) => one.name === name);
  const state = device && worstState(device);
  if (!device || !state) return null;
  const pieces = piecesOf(device, marks.value, document.recording.from_s, document.recording.to_s);
  const unit = alongGround(state.field_uT);
  // One scale for all, so that a step that is missing is seen to be missing.
  const rooms = pieces.map((piece) => {
    const lines = linesAlong(document.trace, unit, piece.from_s, piece.to_s);
    return roomFor(lines.data, lines.fit, 0.98);
  });
  const room: [number, number] = [Math.min(...rooms.map(([low]) => low)), Math.max(...rooms.map(([, high]) => high))];
  const side = heading(((Math.atan2(unit[1], unit[0]) * 180) / Math.PI + 360) % 360);
  return (
    <>
      <p class="small">The field along the ground in the direction in which it works, {side}° clockwise from the nose. <b class="fitword">Thick line: the fit.</b> Shaded: it is on. Drag a mark, or move it with the arrow keys, when it was plainly wrong; the answer follows.</p>
      <FailureAt field="marks" />
      <div class="pieces">
        {pieces.map((piece) => (
          <RunPlot document={document} panels={[{ name: "µT", unit }]} from_s={piece.from_s} to_s={piece.to_s} height={112} only={device.name} room={room}
            label={`${device.name} from ${clock(piece.from_s)} to ${clock(piece.to_s)}: field, fit and what the fit leaves.`} key={piece.marks[0]?.index}>
            <MarkHandles piece={piece} device={device.name} />
          </RunPlot>
        ))}
      </div>
      {device.remarks.length > 0 && <ul class="plain">{device.remarks.map((remark) => <li>{sentence(remark)}</li>)}</ul>}
    </>
  );
}

function Whole({ answer }: { answer: RunAnswer }) {
  const { document } = answer;
  const { from_s, to_s } = document.recording;
  const matter = [...document.unexplained.keys()].filter((i) => (document.unexplained[i]?.worst_heading_error_deg ?? 0) >= 0.3 * document.limit_deg);
  return (
    <>
      <p class="small">The field without its slow drift, in the aircraft’s axes. Shaded, with its number: a device is on. <b class="fitword">Thick line: the fit.</b>{matter.length > 0 && <b class="unword"> Brackets: no mark explains it.</b>}</p>
      <RunPlot document={document} panels={whole} from_s={from_s} to_s={to_s} height={110} sets={setTimes(marks.value)} brackets={matter}
        label={`The whole recording of ${span(to_s - from_s)}: the field forward and to the right, the fit over it, and what the fit leaves.`} />
    </>
  );
}

export function TracePart({ answer }: { answer: RunAnswer }) {
  const name = chosen.value;
  const title = useRef<HTMLHeadingElement>(null);
  useEffect(() => {
    if (!name) return;
    title.current?.focus({ preventScroll: true });
    title.current?.scrollIntoView({ block: "start" });
  }, [name]);
  return (
    <section class="part tracepart" id="trace">
      <div class="sec">
        <h2 tabIndex={-1} ref={title}>{name ? `Steps: ${capital(name)}` : "The recording"}</h2>
        <span class="small two">{name ? "minutes and seconds" : `${fixed((answer.document.recording.to_s - answer.document.recording.from_s) / 60, 0)} minutes · press a bar to see its steps`}</span>
      </div>
      {name ? <Steps answer={answer} name={name} /> : <Whole answer={answer} />}
      <div class="zoom">
        {name && <button type="button" class="choice" onClick={() => { chosen.value = null; }}>The whole recording</button>}
        {anyMoved.value && <button type="button" class="choice" onClick={marksAsInFile}>All marks as in the file</button>}
        <span class="small two" role="status">{anyMoved.value ? (following.value ? "The answer follows…" : "The answer follows your marks. Save them below.") : ""}</span>
      </div>
    </section>
  );
}
