// SPDX-License-Identifier: Apache-2.0
import { useEffect, useRef } from "preact/hooks";

/** For the title of an answer: a new answer is shown from its top, and read aloud from its title. */
export function useNewTitle(answer: unknown) {
  const title = useRef<HTMLHeadingElement>(null);
  useEffect(() => {
    window.scrollTo(0, 0);
    title.current?.focus({ preventScroll: true });
  }, [answer]);
  return title;
}
