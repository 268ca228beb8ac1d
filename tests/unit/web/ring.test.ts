import { describe, expect, test } from 'vitest';
import type { LiveBlock } from '../../../shared/wire/block-codec.ts';
import { Ring } from '../../../web/lib/ring.ts';

function block(index: number, values: readonly number[], step = 1): LiveBlock {
  const columns = [Float32Array.from(values)];
  return { index, n: values.length, step, rate_Hz: 1000, arrival_ms: 0, afterGap: false, columns };
}

const read = (ring: Ring, from: number, end: number) =>
  Array.from({ length: end - from }, (_, k) => ring.at(0, from + k));

describe('ring of the newest samples', () => {
  test('keeps samples by their index, a jump of the index as missing samples', () => {
    const ring = new Ring(['torque_Nm'], 100);
    ring.push(block(500, [1, 2, 3]));
    ring.push(block(506, [7, 8]));
    expect(read(ring, 500, 508)).toEqual([1, 2, 3, NaN, NaN, NaN, 7, 8]);
    expect([ring.begin, ring.end]).toEqual([500, 508]);
    expect(ring.at(0, 499)).toBeNaN();
    expect(ring.at(0, 508)).toBeNaN();
  });

  test('forgets the oldest when full, and never hands out an overwritten place', () => {
    const ring = new Ring(['torque_Nm'], 1);
    const { capacity } = ring;
    for (let index = 0; index < capacity + 10; index += 10) {
      ring.push(
        block(
          index,
          Array.from({ length: 10 }, (_, k) => index + k),
        ),
      );
    }
    const oldest = ring.end - capacity;
    expect(ring.at(0, oldest - 1)).toBeNaN();
    expect(ring.at(0, oldest)).toBe(oldest);
    expect(ring.at(0, ring.end - 1)).toBe(ring.end - 1);
  });

  test('a hole longer than the ring leaves nothing old behind', () => {
    const ring = new Ring(['torque_Nm'], 1);
    ring.push(block(0, [5, 5, 5]));
    ring.push(block(3 * ring.capacity, [9]));
    expect(read(ring, ring.end - 4, ring.end)).toEqual([NaN, NaN, NaN, 9]);
    expect(ring.end - ring.begin).toBe(ring.capacity);
  });

  test('an index that runs back is a new stream', () => {
    const ring = new Ring(['torque_Nm'], 1);
    ring.push(block(1000, [1, 1]));
    const before = ring.edition;
    ring.push(block(0, [2, 3]));
    expect([ring.begin, ring.end]).toEqual([0, 2]);
    expect(ring.edition).toBeGreaterThan(before);
  });

  test('a value of a coarse block stands for all its samples', () => {
    const ring = new Ring(['torque_Nm'], 1);
    ring.push(block(100, [4, 6], 5));
    expect(read(ring, 100, 110)).toEqual([4, 4, 4, 4, 4, 6, 6, 6, 6, 6]);
  });

  test('history is put before what is kept, and does not touch it', () => {
    const ring = new Ring(['torque_Nm'], 1);
    ring.push(block(100, [1, 2]));
    ring.backfill(block(95, [5, 6, 7, 8, 99, 98]));
    expect(read(ring, 95, 102)).toEqual([5, 6, 7, 8, 99, 1, 2]);
    expect(ring.begin).toBe(95);
  });

  test('history that ends early leaves missing samples, not a jump', () => {
    const ring = new Ring(['torque_Nm'], 1);
    ring.push(block(100, [1]));
    ring.backfill(block(96, [5, 6]));
    expect(read(ring, 96, 101)).toEqual([5, 6, NaN, NaN, 1]);
  });
});
