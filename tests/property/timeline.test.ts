/** Whatever a device does with its count, the stream's index rises and never overlaps. */
import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { StreamFormat } from '../../shared/block/block.ts';
import { createTimeline } from '../../shared/block/timeline.ts';

const formats: readonly StreamFormat[] = [500, 1000].map((rate_Hz) => ({
  rate_Hz,
  channels: [],
  integrity: 'crc32',
  notes: {},
}));

const step = fc.record({
  format: fc.constantFrom(...formats),
  run: fc.nat({ max: 3 }),
  first: fc.nat({ max: 10_000 }),
  n: fc.integer({ min: 1, max: 64 }),
  wait_ns: fc.oneof(fc.constant(0), fc.nat({ max: 2_000_000_000 })),
  isReconnect: fc.boolean(),
});

test('index never decreases, never overlaps, and anchors rise', () => {
  fc.assert(
    fc.property(fc.array(step, { maxLength: 60 }), (steps) => {
      const timeline = createTimeline();
      let end = 0;
      let now_ns = 0;
      for (const { format, run, first, n, wait_ns, isReconnect } of steps) {
        now_ns += wait_ns;
        if (isReconnect) timeline.reconnect();
        const { index } = timeline.place({ format, run, first, n, columns: [] }, now_ns);
        expect(Number.isInteger(index)).toBe(true);
        expect(index).toBeGreaterThanOrEqual(end);
        end = index + n;
      }
      const { anchors } = timeline;
      for (let k = 1; k < anchors.length; k += 1) {
        expect(anchors[k]?.index).toBeGreaterThan(anchors[k - 1]?.index ?? NaN);
        expect(anchors[k]?.host_ns).toBeGreaterThan(anchors[k - 1]?.host_ns ?? NaN);
      }
    }),
  );
});

test('one run is placed exactly as the device counts, however late its blocks arrive', () => {
  const block = fc.record({
    hole: fc.nat({ max: 500 }),
    n: fc.integer({ min: 1, max: 64 }),
    wait_ns: fc.nat(),
  });
  fc.assert(
    fc.property(fc.nat({ max: 2 ** 40 }), fc.array(block, { minLength: 1 }), (start, blocks) => {
      const timeline = createTimeline();
      let first = start;
      let now_ns = 0;
      for (const { hole, n, wait_ns } of blocks) {
        now_ns += wait_ns;
        const placed = timeline.place(
          { format: formats[0] ?? expect.fail(), run: 0, first, n, columns: [] },
          now_ns,
        );
        expect(placed.index).toBe(first - start);
        first += n + hole;
      }
    }),
  );
});
