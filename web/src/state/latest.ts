// SPDX-License-Identifier: Apache-2.0
// One request at a time, and after it only the newest of those that came meanwhile: a hand that
// drags asks faster than answers come.

export function latestOnly<Asked>(act: (asked: Asked) => Promise<void>): (asked: Asked) => void {
  let busy = false;
  let next: { asked: Asked } | null = null;
  const run = async (asked: Asked) => {
    busy = true;
    try {
      await act(asked);
    } finally {
      busy = false;
      const then = next;
      next = null;
      if (then) void run(then.asked);
    }
  };
  return (asked) => {
    if (busy) next = { asked };
    else void run(asked);
  };
}
