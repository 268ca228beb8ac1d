/** Lets a fault through at once, and at most four times a second per code; the rest is counted. */
import type { Fault, FaultCode } from '../../shared/faults.ts';

/** A person reads no faster; a damaged stream has thousands a second. */
const EVERY_NS = 250e6;
/** As `Fault` promises. */
const MAX_DETAIL = 200;

interface Waiting {
  /** When this code was last let through. */
  told_ns: number;
  count: number;
  detail: string;
  at: number;
}

export interface FaultGate {
  report(fault: Fault, now_ns: number): void;
  /** Lets through what has waited long enough; to be called a few times a second. */
  tick(now_ns: number): void;
  /** Lets everything through. */
  end(): void;
}

export function createFaultGate(emit: (fault: Fault) => void): FaultGate {
  const waiting = new Map<FaultCode, Waiting>();

  function release(code: FaultCode, entry: Waiting, now_ns: number): void {
    if (entry.count === 0 || now_ns - entry.told_ns < EVERY_NS) return;
    const { at, detail, count } = entry;
    entry.told_ns = now_ns;
    entry.count = 0;
    emit({ code, at, detail, count });
  }

  function releaseAll(now_ns: number): void {
    for (const [code, entry] of waiting) release(code, entry, now_ns);
  }

  return {
    report({ code, at, detail, count }, now_ns) {
      const entry = waiting.get(code) ?? { told_ns: -Infinity, count: 0, detail: '', at };
      waiting.set(code, entry);
      if (entry.count === 0) entry.at = at;
      entry.count += count;
      entry.detail = detail.slice(0, MAX_DETAIL);
      release(code, entry, now_ns);
    },
    tick: releaseAll,
    end: () => releaseAll(Infinity),
  };
}
