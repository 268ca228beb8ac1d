/** The set in memory: what was added stands there with its true times, also after it grew. */
import { describe, expect, it } from 'vitest';
import { createSignalStore } from '../../../daemon/pipeline/signal-store.ts';
import type { Block } from '../../../shared/block/block.ts';

const measured = () => ['torque_Nm', 'angle_deg', 'emg_mV'];

function block(index: number, n: number, rate_Hz = 1000): Block {
  const ramp = Float64Array.from({ length: n }, (_, i) => index + i);
  const columns = new Map([
    ['torque_Nm', ramp],
    ['angle_deg', ramp.map((value) => -value)],
    ['velocity_degps', ramp],
  ]);
  return { rate_Hz, index, n, afterGap: false, columns };
}

describe('signal store', () => {
  it('has nothing before the first block', () => {
    expect(createSignalStore({ firstIndex: 0, measured }).signal()).toBeNull();
  });

  it('keeps every sample at its time from the start of the recording, a short hole as NaN', () => {
    const store = createSignalStore({ firstIndex: 100, measured });
    store.add(block(100, 50));
    store.add(block(300, 50));
    const signal = store.signal();
    expect(signal?.torque_Nm).toHaveLength(250);
    expect(signal?.torque_Nm[199]).toBeNaN();
    expect(signal?.torque_Nm[200]).toBe(300);
    expect(signal?.time_s[200]).toBe(0.2);
    expect(signal?.velocity_degps).toBeNull();
  });

  it('lets time jump over a long hole', () => {
    const store = createSignalStore({ firstIndex: 0, measured });
    store.add(block(0, 50));
    store.add(block(20_000, 50));
    const signal = store.signal();
    expect(signal?.torque_Nm).toHaveLength(100);
    expect(signal?.time_s[50]).toBe(20);
  });

  it('gives views that later samples do not change, over any growth', () => {
    const store = createSignalStore({ firstIndex: 0, measured });
    for (let index = 0; index < 30_000; index += 100) store.add(block(index, 100));
    const early = store.signal();
    for (let index = 30_000; index < 200_000; index += 100) store.add(block(index, 100));
    expect(early?.torque_Nm).toHaveLength(30_000);
    const late = store.signal();
    expect(late?.torque_Nm).toHaveLength(200_000);
    expect(late?.torque_Nm.every((value, i) => value === i)).toBe(true);
    expect(late?.angle_deg?.at(-1)).toBe(-199_999);
  });

  it('holds ten minutes at most and then the newest half of them', () => {
    const store = createSignalStore({ firstIndex: 0, measured });
    for (let s = 0; s < 601; s += 1) store.add(block(100 * s, 100, 100));
    const signal = store.signal();
    expect(signal?.torque_Nm.length).toBeLessThanOrEqual(60_000);
    expect(signal?.torque_Nm.at(-1)).toBe(60_099);
    expect((signal?.time_s.at(-1) ?? 0) - (signal?.time_s[0] ?? 0)).toBeGreaterThan(299);
  });
});
