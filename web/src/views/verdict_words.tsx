// SPDX-License-Identifier: Apache-2.0
import { boldFigures, minus } from "../words/figures";

/** A sentence of the program with its figures bold. */
export function Sentence({ text }: { text: string }) {
  return <>{boldFigures(minus(text)).map((part) => (part.bold ? <b>{part.text}</b> : part.text))}</>;
}
