/** Worked examples of placing blocks; every number is counted by hand. */
import { describe, expect, test } from 'vitest';
import type { RawBlock, StreamFormat } from '../../../shared/block/block.ts';
import { createTimeline } from '../../../shared/block/timeline.ts';

const format: StreamFormat = {
  rate_Hz: 1000,
  channels: [{ name: 'torque_Nm', unit: 'Nm', type: 'float64' }],
  integrity: 'text',
  notes: {},
};

function raw(run: number, first: number, n = 20, rate_Hz = 1000): RawBlock {
  return { format: { ...format, rate_Hz }, run, first, n, columns: [new Float64Array(n)] };
}

describe('within a run', () => {
  test('the stream begins at 0 and follows the count of the device, holes included', () => {
    const timeline = createTimeline();
    expect(timeline.place(raw(0, 5000), 1e9).index).toBe(0);
    expect(timeline.place(raw(0, 5020), 1.02e9).index).toBe(20);
    expect(timeline.place(raw(0, 5140), 1.14e9).index).toBe(140);
  });

  test('a late arrival moves nothing', () => {
    const timeline = createTimeline();
    timeline.place(raw(0, 0), 1e9);
    expect(timeline.place(raw(0, 20), 9e9).index).toBe(20);
  });

  test('the block keeps its samples, run and device count', () => {
    const block = raw(0, 300);
    expect(createTimeline().place(block, 5)).toEqual({ ...block, index: 0, arrival_ns: 5 });
  });
});

describe('across a restart of the clock', () => {
  test('half a second of silence is 480 lost samples before the 20 that came', () => {
    const timeline = createTimeline();
    timeline.place(raw(0, 0), 1e9);
    expect(timeline.place(raw(1, 0), 1.5e9).index).toBe(20 + 480);
  });

  test('a quick restart leaves a hole of one sample, so that nobody joins the two', () => {
    const timeline = createTimeline();
    timeline.place(raw(0, 0), 1e9);
    expect(timeline.place(raw(1, 0), 1.001e9).index).toBe(21);
  });

  test('no time between two blocks leaves no hole', () => {
    const timeline = createTimeline();
    timeline.place(raw(0, 0), 1e9);
    expect(timeline.place(raw(1, 0), 1e9).index).toBe(20);
  });

  test('a count that moves back without a new run never overlaps what was placed', () => {
    const timeline = createTimeline();
    timeline.place(raw(0, 1000), 1e9);
    expect(timeline.place(raw(0, 1010), 1.02e9).index).toBe(21);
  });

  test('a new rate starts anew, the hole counted at the new rate', () => {
    const timeline = createTimeline();
    timeline.place(raw(0, 0), 1e9);
    expect(timeline.place(raw(0, 20, 100, 5000), 1.1e9).index).toBe(20 + 500 - 100);
  });
});

describe('after a reconnect', () => {
  test('a device that counted on keeps its exact hole', () => {
    const timeline = createTimeline();
    timeline.place(raw(0, 0), 1e9);
    timeline.reconnect();
    expect(timeline.place(raw(0, 3013), 4.02e9).index).toBe(3013);
  });

  test('a device whose count does not fit the silence is placed by arrival', () => {
    const timeline = createTimeline();
    timeline.place(raw(0, 0), 1e9);
    timeline.reconnect();
    expect(timeline.place(raw(0, 40), 4e9).index).toBe(20 + 2980);
  });

  test('the tolerance serves one block only', () => {
    const timeline = createTimeline();
    timeline.place(raw(0, 0), 1e9);
    timeline.reconnect();
    timeline.place(raw(0, 0), 4e9);
    expect(timeline.place(raw(0, 20), 8e9).index).toBe(20 + 2980 + 20);
  });
});

describe('drift and anchors', () => {
  test('are told from the arrivals, an anchor in 10 s', () => {
    const timeline = createTimeline();
    expect(timeline.measuredRate_Hz).toBeNull();
    for (let k = 0; k < 1500; k += 1) timeline.place(raw(0, 20 * k), 1e9 + k * 20e6);
    expect(timeline.drift_ppm).toBeCloseTo(0, 6);
    expect(timeline.measuredRate_Hz).toBeCloseTo(1000, 6);
    expect(timeline.anchors.map((anchor) => anchor.index)).toEqual([20, 10_020, 20_020]);
  });

  test('start anew with a new run; anchors keep rising', () => {
    const timeline = createTimeline();
    for (let k = 0; k < 600; k += 1) timeline.place(raw(0, 20 * k), 1e9 + k * 20e6);
    expect(timeline.drift_ppm).not.toBeNull();
    timeline.place(raw(1, 0), 20e9);
    expect(timeline.drift_ppm).toBeNull();
    const [, , last, ...none] = timeline.anchors;
    expect(none).toEqual([]);
    expect(last).toEqual({ index: 12_000 + 7020 - 20 + 20, host_ns: 20e9 });
  });

  test('two days of anchors stay bounded', () => {
    const timeline = createTimeline();
    for (let k = 0; k < 17_280; k += 1) timeline.place(raw(0, 10_000 * k), k * 10e9);
    expect(timeline.anchors.length).toBeLessThanOrEqual(4096);
  });
});
