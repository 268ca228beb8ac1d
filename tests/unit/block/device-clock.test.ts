/** The clock's estimate against simulated devices whose true rate is known. */
import { describe, expect, test } from 'vitest';
import { createDeviceClock } from '../../../shared/block/device-clock.ts';

interface Wire {
  readonly rate_Hz: number;
  readonly drift_ppm: number;
  readonly duration_s: number;
  /** The bridge hands over what it has at multiples of this. */
  readonly burst_ms: number;
  /** Samples a block holds at most; a burst always ends a block when 0. */
  readonly blockSamples: number;
  readonly jitter_ms: number;
}

/** Small, fast, seeded: mulberry32 (public domain, from memory). */
function seeded(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

/** Block ends and their arrivals, as a bridge with bursts and a busy host would deliver them. */
function* arrivals(wire: Wire, seed: number): Generator<{ end: number; arrival_ns: number }> {
  const chance = seeded(seed);
  const trueRate_Hz = wire.rate_Hz * (1 + wire.drift_ppm / 1e6);
  const start_s = 7;
  let given = 0;
  let lastArrival_ns = 0;
  for (let k = 1; (k * wire.burst_ms) / 1000 < wire.duration_s; k += 1) {
    const now_s = (k * wire.burst_ms) / 1000;
    const taken = Math.floor(now_s * trueRate_Hz);
    const end = wire.blockSamples === 0 ? taken : taken - (taken % wire.blockSamples);
    if (end <= given) continue;
    given = end;
    const late_ms =
      -wire.jitter_ms * Math.log(1 - chance()) + (chance() < 0.01 ? 30 * chance() : 0);
    lastArrival_ns = Math.max(lastArrival_ns, (start_s + now_s + late_ms / 1000) * 1e9);
    yield { end, arrival_ns: lastArrival_ns };
  }
}

function driftSeen(wire: Wire, seed: number): number {
  const clock = createDeviceClock(wire.rate_Hz);
  for (const { end, arrival_ns } of arrivals(wire, seed)) clock.observe(end, arrival_ns);
  return clock.drift_ppm ?? Number.NaN;
}

const usbBridge = { rate_Hz: 1000, duration_s: 60, burst_ms: 16, jitter_ms: 0.3 };
const seeds = Array.from({ length: 20 }, (_, k) => k + 1);

describe('drift against the host, invented wires of known drift', () => {
  test('+120 ppm in 16 ms bursts is known within 20 ppm after 60 s', () => {
    for (const seed of seeds) {
      const seen = driftSeen({ ...usbBridge, drift_ppm: 120, blockSamples: 0 }, seed);
      expect(Math.abs(seen - 120)).toBeLessThan(20);
    }
  });

  test('blocks of 20 samples that beat with the bursts hide 4 ms, and need 120 s for it', () => {
    for (const drift_ppm of [-120, 0, 50, 120]) {
      const seen = driftSeen({ ...usbBridge, drift_ppm, duration_s: 120, blockSamples: 20 }, 3);
      expect(Math.abs(seen - drift_ppm)).toBeLessThan(20);
    }
  });

  test.each([-10_000, 10_000])(
    'a rate off by %d ppm is known within 500 ppm after 30 s',
    (drift_ppm) => {
      for (const seed of seeds) {
        const wire = { ...usbBridge, drift_ppm, duration_s: 30, blockSamples: 0 };
        expect(Math.abs(driftSeen(wire, seed) - drift_ppm)).toBeLessThan(500);
      }
    },
  );

  test('nothing is told before 10 s', () => {
    const clock = createDeviceClock(1000);
    for (const { end, arrival_ns } of arrivals(
      { ...usbBridge, drift_ppm: 120, duration_s: 9.9, blockSamples: 0 },
      1,
    )) {
      clock.observe(end, arrival_ns);
    }
    expect(clock.drift_ppm).toBeNull();
    expect(clock.rate_Hz).toBeCloseTo(1000, 0);
  });
});

describe('stamps', () => {
  test('never move back and never run at less than half or more than 1.5 times real pace', () => {
    const clock = createDeviceClock(1000);
    let before = { index: -1, host_ns: -Infinity };
    for (const { end, arrival_ns } of arrivals(
      { ...usbBridge, drift_ppm: 120, duration_s: 30, blockSamples: 0 },
      5,
    )) {
      clock.observe(end, arrival_ns);
      const stamp = clock.stamp ?? before;
      expect(stamp.index).toBe(end);
      expect(stamp.host_ns).toBeGreaterThan(before.host_ns);
      if (before.index >= 0) {
        const pace = (stamp.host_ns - before.host_ns) / ((stamp.index - before.index) * 1e6);
        expect(pace).toBeGreaterThan(0.4999);
        expect(pace).toBeLessThan(1.5001);
      }
      before = stamp;
    }
  });

  test('settle on the true time of a sample within a millisecond', () => {
    const clock = createDeviceClock(1000);
    for (const { end, arrival_ns } of arrivals(
      { ...usbBridge, drift_ppm: 120, blockSamples: 0 },
      9,
    )) {
      clock.observe(end, arrival_ns);
    }
    const stamp = clock.stamp ?? { index: 0, host_ns: 0 };
    const true_ns = (7 + stamp.index / (1000 * (1 + 120e-6))) * 1e9;
    expect(Math.abs(stamp.host_ns - true_ns)).toBeLessThan(1.2e6);
  });

  test('a second observation of the same end changes no stamp', () => {
    const clock = createDeviceClock(1000);
    clock.observe(20, 1e9);
    clock.observe(20, 1.5e9);
    expect(clock.stamp).toEqual({ index: 20, host_ns: 1e9 });
  });
});
