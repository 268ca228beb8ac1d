import { describe, expect, test } from 'vitest';
import { DataAge, LOST_MS, STALE_MS } from '../../../web/lib/data-age.ts';

/** Blocks of 20 ms from a daemon whose clock is 5000 ms behind the page's. */
function flowing(until_ms: number): DataAge {
  const age = new DataAge();
  for (let t = 0; t <= until_ms; t += 20) age.note(t, t + 5000 + 3, 20);
  return age;
}

describe('age of the data, judged by the page', () => {
  test('is fresh while blocks come, stale after 250 ms, lost after a second', () => {
    const age = flowing(1000);
    expect(age.freshness(6010)).toBe('fresh');
    expect(age.freshness(6003 + STALE_MS)).toBe('fresh');
    expect(age.freshness(6003 + STALE_MS + 1)).toBe('stale');
    expect(age.freshness(6003 + LOST_MS + 1)).toBe('lost');
    expect(age.age_ms(6403)).toBeCloseTo(400, 6);
  });

  test('long blocks are given three of their own length', () => {
    const age = new DataAge();
    age.note(0, 100, 200);
    expect(age.freshness(100 + 600)).toBe('fresh');
    expect(age.freshness(100 + 601)).toBe('stale');
  });

  test('blocks that arrive late are old even while they keep coming', () => {
    const age = flowing(1000);
    age.note(1020, 6020 + 3 + 700, 20);
    expect(age.freshness(6020 + 3 + 700)).toBe('stale');
    expect(age.age_ms(6020 + 3 + 700)).toBeCloseTo(700, 0);
  });

  test('two clocks that drift apart by 100 ppm over a day are not mistaken for a slow link', () => {
    const age = new DataAge();
    const day_ms = 24 * 3600 * 1000;
    for (let t = 0; t <= day_ms; t += 60_000) {
      age.note(t, t * (1 + 1e-4) + 3, 20);
      expect(age.freshness(t * (1 + 1e-4) + 3)).toBe('fresh');
    }
  });

  test('before the first sample there is no age, and joining a silent station shows its silence', () => {
    const age = new DataAge();
    expect(age.freshness(123_456)).toBe('none');
    age.join(null, 1000);
    expect(age.freshness(1000)).toBe('none');
    age.join(4000, 1000);
    expect(age.freshness(1000)).toBe('lost');
  });

  test('a new connection does not make old data fresh, and takes the new clock', () => {
    const age = flowing(1000);
    age.rejoin(9003);
    expect(age.freshness(9003)).toBe('lost');
    age.note(17, 9100, 20);
    expect(age.freshness(9110)).toBe('fresh');
  });
});
