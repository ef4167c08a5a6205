// SPDX-License-Identifier: Apache-2.0
import { boldFigures, shown } from "../words/figures";

/** A sentence of the program with its figures bold. */
export function Sentence({ text }: { text: string }) {
  return <>{boldFigures(shown(text)).map((part) => (part.bold ? <b>{part.text}</b> : part.text))}</>;
}
