/** Faults and flags as the pages see them: bounded, newest first, a flag's end replaces its beginning. */
import { describe, expect, it } from 'vitest';
import { createNotices } from '../../../daemon/station-notices.ts';
import type { Flag } from '../../../shared/flags/flag.ts';

const notices = () => createNotices(() => new Date(0));
const flag = (start_s: number, end_s = start_s): Flag => ({
  kind: 'overload',
  priority: 'high',
  start_s,
  end_s,
  value: 130,
  limit: 120,
  unit: 'Nm',
  message: 'Torque beyond the limit.',
});
const fault = { code: 'sourceLost', at: 5, detail: '', count: 1 } as const;

describe('flags', () => {
  it('keep their number and acknowledgement when they end', () => {
    const list = notices();
    list.addFlag(flag(1));
    expect(list.acknowledge(1)).toBe(true);
    list.addFlag(flag(1, 2));
    expect(list.flags).toEqual([{ ...flag(1, 2), id: 1, acknowledged: true }]);
  });

  it('cannot be acknowledged when they do not exist', () => {
    expect(notices().acknowledge(1)).toBe(false);
  });

  it('beyond a hundred let the oldest acknowledged one go, else the oldest', () => {
    const list = notices();
    for (let s = 0; s < 100; s += 1) list.addFlag(flag(s));
    list.acknowledge(40);
    list.addFlag(flag(100));
    expect(list.flags).toHaveLength(100);
    expect(list.flags.some(({ id }) => id === 40)).toBe(false);
    list.addFlag(flag(101));
    expect(list.flags.some(({ id }) => id === 1)).toBe(false);
    expect(list.flags[0]?.start_s).toBe(101);
  });
});

describe('faults', () => {
  it('that repeat are counted in one line', () => {
    const list = notices();
    list.addFault(fault);
    list.addFault({ ...fault, count: 3 });
    list.addFault({ ...fault, detail: 'cable' });
    expect(list.faults.map(({ count, detail }) => [count, detail])).toEqual([
      [1, 'cable'],
      [4, ''],
    ]);
  });

  it('are fifty at most', () => {
    const list = notices();
    for (let k = 0; k < 80; k += 1) list.addFault({ ...fault, detail: String(k) });
    expect(list.faults).toHaveLength(50);
    expect(list.faults[0]?.detail).toBe('79');
  });
});
