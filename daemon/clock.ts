/** The only place of the daemon that reads a clock. Tests hand in their own. */
import { hrtime } from 'node:process';

/** Nanoseconds of a clock that never steps back; 53 bits last 104 days at full resolution. */
export function monotonic_ns(): number {
  return Number(hrtime.bigint());
}

export function wallClock(): Date {
  return new Date();
}
