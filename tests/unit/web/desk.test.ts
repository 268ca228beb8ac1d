import { describe, expect, test } from 'vitest';
import { openGroups, type ShownFlag } from '../../../web/lib/flag-list.ts';
import { parseLaneEvent, parseLiveEvent } from '../../../web/lib/message.ts';
import { slope } from '../../../web/lib/record-curves.ts';
import { voidsOf } from '../../../web/lib/record-drawing.ts';
import { readEntries, readOverview } from '../../../web/lib/recordings.ts';
import { clampSpan, moveSpan, spanFromQuery, zoomSpan } from '../../../web/lib/view-span.ts';

describe('the stretch in view', () => {
  test('zooming keeps the pointed moment in its place', () => {
    const zoomed = zoomSpan({ from_s: 10, to_s: 20 }, 0.5, 12, 100);
    expect(zoomed).toEqual({ from_s: 11, to_s: 16 });
    expect((12 - zoomed.from_s) / (zoomed.to_s - zoomed.from_s)).toBeCloseTo(0.2, 12);
  });

  test('never leaves the recording, never vanishes', () => {
    expect(moveSpan({ from_s: 90, to_s: 100 }, 50, 100)).toEqual({ from_s: 90, to_s: 100 });
    expect(moveSpan({ from_s: 5, to_s: 10 }, -50, 100)).toEqual({ from_s: 0, to_s: 5 });
    const closest = zoomSpan({ from_s: 1, to_s: 1.02 }, 1e-6, 1.01, 100);
    expect(closest.to_s - closest.from_s).toBeCloseTo(0.02, 9);
    expect(zoomSpan({ from_s: 0, to_s: 100 }, 8, 50, 100)).toEqual({ from_s: 0, to_s: 100 });
    expect(clampSpan({ from_s: 0, to_s: 1 }, 0).to_s).toBeGreaterThan(0);
  });

  test('an address with nonsense in it shows all', () => {
    const all = { from_s: 0, to_s: 60 };
    for (const query of ['', 'from=x&to=9', 'from=9&to=3', 'from=NaN']) {
      expect(spanFromQuery(new URLSearchParams(query), 60)).toEqual(all);
    }
    expect(spanFromQuery(new URLSearchParams('from=3&to=9'), 60)).toEqual({ from_s: 3, to_s: 9 });
  });
});

describe('curves of a kept recording', () => {
  test('a hole is a void from the last sample before it to the first after it', () => {
    const x_s = Float64Array.from([0, 1, 2, 3, 4, 5]);
    const torque = Float32Array.from([1, 1, NaN, NaN, 1, 1]);
    const nothing = new Float32Array(6).fill(NaN);
    expect(voidsOf({ x_s, torque, angle: nothing, velocity: nothing })).toEqual([
      { kind: 'lost', from_s: 1, to_s: 4 },
    ]);
    const curves = { x_s, torque: nothing, angle: nothing, velocity: nothing };
    expect(voidsOf(curves)).toEqual([]);
  });

  test('velocity from a steady angle is its slope; beside a hole there is none', () => {
    const x_s = Float64Array.from({ length: 100 }, (_, i) => i / 1000);
    const angle = Float32Array.from(x_s, (time) => 60 * time);
    for (const value of slope(x_s, angle, 20)) expect(value).toBeCloseTo(60, 3);
    angle[50] = NaN;
    expect(slope(x_s, angle, 20)[40]).toBeNaN();
  });
});

describe('what comes from the daemon is read, not trusted', () => {
  test('null in a column is a missing sample, not zero', () => {
    const read = readOverview({ from_s: 0, to_s: 1, min: [1, null], max: [2, null] });
    expect([...(read?.min ?? [])]).toEqual([1, NaN]);
    expect(readOverview({ from_s: 0, min: [], max: [] })).toBeNull();
  });

  test('entries that are none are left out, a body that is none is refused', () => {
    expect(readEntries({ recordings: [{ id: 1 }] })).toEqual([]);
    expect(readEntries([])).toBeNull();
    expect(readEntries({ detail: 'no' })).toBeNull();
  });

  test('messages that are none are left out', () => {
    for (const text of [
      '',
      'null',
      '[]',
      '{"type":"state"}',
      '{"type":"state","state":null}',
      '{',
    ]) {
      expect(parseLiveEvent(text)).toBeNull();
      expect(parseLaneEvent(text)).toBeNull();
    }
    expect(parseLaneEvent('{"type":"level","level":"high"}')).toBeNull();
    expect(parseLaneEvent('{"type":"level","level":null}')).toEqual({ type: 'level', level: null });
  });
});

describe('flags to look at', () => {
  const flag = (
    id: number,
    kind: 'rangeNear' | 'overload' | 'gap',
    more: Partial<ShownFlag> = {},
  ) => ({
    id,
    kind,
    priority: kind === 'overload' ? ('high' as const) : ('medium' as const),
    start_s: id,
    end_s: id,
    value: null,
    limit: null,
    unit: '',
    message: '',
    acknowledged: false,
    ...more,
  });

  test('loudest first, one kind together, newest leading', () => {
    const groups = openGroups([
      flag(5, 'rangeNear'),
      flag(4, 'gap'),
      flag(3, 'rangeNear'),
      flag(2, 'overload'),
      flag(1, 'rangeNear', { acknowledged: true }),
    ]);
    expect(groups.map(({ kind, flags }) => [kind, flags.map(({ id }) => id)])).toEqual([
      ['overload', [2]],
      ['rangeNear', [5, 3]],
      ['gap', [4]],
    ]);
  });
});
