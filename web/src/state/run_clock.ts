// SPDX-License-Identifier: Apache-2.0
// A moment of this device on the recording's clock. The offset is measured by asking the program for
// its time; half the shortest round trip is its uncertainty. Two clocks of the browser are carried,
// as each can be wrong: the steady one may stand still while the device sleeps and ends with the
// page, the wall clock may be set.

export interface Moment {
  steady_ms: number;
  wall_ms: number;
  life: string;  // of the page whose steady clock it is
}

/**
 * At that moment the recording's clock showed `now_s`, give or take `half_s`. It runs at `speed`: 1, but
 * for a rehearsal that is led more quickly.
 */
export interface Anchor extends Moment {
  now_s: number;
  half_s: number;
  speed: number;
}

export interface Placed {
  said_s: number;
  error_s: number;
}

const kDrift = 5e-5;       // of two quartz clocks against each other, at most
const kSameClock_s = 0.02; // so far two measurements of one clock may differ beyond their halves

export const life = Math.random().toString(36).slice(2, 10);

export function momentAt(steady_ms: number): Moment {
  return { steady_ms, wall_ms: Date.now() - (performance.now() - steady_ms), life };
}

/** Of several questions the one that was answered soonest. */
export function anchorFrom(asked: { sent: Moment; back_ms: number; now_s: number; speed: number }[]): Anchor | null {
  let best: Anchor | null = null;
  for (const { sent, back_ms, now_s, speed } of asked) {
    const half_ms = Math.max(0, back_ms - sent.steady_ms) / 2;
    const half_s = (speed * half_ms) / 1000;
    if (best && half_s >= best.half_s) continue;
    best = { steady_ms: sent.steady_ms + half_ms, wall_ms: sent.wall_ms + half_ms, life: sent.life, now_s, half_s, speed };
  }
  return best;
}

type Clock = "steady_ms" | "wall_ms";

function by(anchor: Anchor, moment: Moment, clock: Clock): Placed {
  const gone_s = (anchor.speed * (moment[clock] - anchor[clock])) / 1000;
  return { said_s: anchor.now_s + gone_s, error_s: anchor.half_s + kDrift * Math.abs(gone_s) };
}

const spread = (a: Placed, b: Placed) => Math.abs(a.said_s - b.said_s);
const mean = (a: Placed, b: Placed): Placed => ({ said_s: (a.said_s + b.said_s) / 2, error_s: Math.max(a.error_s, b.error_s) + spread(a, b) / 2 });
const surer = (a: Placed, b: Placed) => (a.error_s <= b.error_s ? a : b);

/**
 * Places a moment by the measurement before it and the one after it. A clock on which both agree ran
 * through all the while and is believed; where neither does, the answer lies between, and says so.
 */
export function placed(moment: Moment, before: Anchor | null, after: Anchor | null): Placed | null {
  const usable = (anchor: Anchor): Clock[] => (anchor.life === moment.life ? ["steady_ms", "wall_ms"] : ["wall_ms"]);
  if (!before || !after) {
    const only = before ?? after;
    if (!only) return null;
    const each = usable(only).map((clock) => by(only, moment, clock));
    const [first, second] = each;
    if (!first) return null;
    // From before, on a page that is awake, the steady clock; only a jump between both casts doubt.
    return second && spread(first, second) > 1 ? mean(first, second) : first;
  }
  const clocks = usable(before).filter((clock) => usable(after).includes(clock));
  for (const clock of clocks) {
    const [a, b] = [by(before, moment, clock), by(after, moment, clock)];
    if (spread(a, b) <= a.error_s + b.error_s + before.speed * kSameClock_s) {
      const sure = surer(a, b);
      return { said_s: sure.said_s, error_s: sure.error_s + spread(a, b) };
    }
  }
  const [a, b] = [by(before, moment, usable(before)[0] ?? "wall_ms"), by(after, moment, usable(after)[0] ?? "wall_ms")];
  return mean(a, b);
}

/** The measurements next to a moment, on either side. */
export function around(moment: Moment, anchors: Anchor[]): [Anchor | null, Anchor | null] {
  const sooner = (a: Anchor) => (a.life === moment.life ? a.steady_ms <= moment.steady_ms : a.wall_ms <= moment.wall_ms);
  return [anchors.filter(sooner).pop() ?? null, anchors.find((anchor) => !sooner(anchor)) ?? null];
}

const kQuestions = 6;

/** Asks several times, one after the other. Rejects when the program does not answer at all. */
export async function measure(ask: () => Promise<{ now_s: number; speed: number }>): Promise<Anchor> {
  const asked: { sent: Moment; back_ms: number; now_s: number; speed: number }[] = [];
  for (let i = 0; i < kQuestions; i += 1) {
    const sent = momentAt(performance.now());
    const { now_s, speed } = await ask();
    asked.push({ sent, back_ms: performance.now(), now_s, speed });
  }
  const anchor = anchorFrom(asked);
  if (!anchor) throw new Error("no measurement of the clock");
  return anchor;
}
