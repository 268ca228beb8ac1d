import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Signal } from '../../../shared/analysis-types.ts';
import type { ColumnOptions } from '../../../shared/tables/columns.ts';
import { parseNumber } from '../../../shared/tables/parse-number.ts';
import { readTable, type Table } from '../../../shared/tables/read-table.ts';
import { type SignalOptions, tableSignal } from '../../../shared/tables/signal.ts';

function bytes(text: string): Uint8Array {
  return new TextEncoder().encode(text);
}

function table(text: string, options: ColumnOptions = {}): Table {
  const read = readTable(bytes(text), options);
  if ('problem' in read) throw new Error(read.problem);
  return read;
}

function problem(text: string, options: ColumnOptions & SignalOptions = {}): string {
  const read = readTable(bytes(text), options);
  if ('problem' in read) return read.problem;
  const signal = tableSignal(read, options);
  return 'problem' in signal ? signal.problem : 'none';
}

function signal(text: string, options: ColumnOptions & SignalOptions = {}): Signal {
  const read = tableSignal(table(text, options), options);
  if ('problem' in read) throw new Error(read.problem);
  return read.signal;
}

const ROWS = '0,1,10\n0.01,2,20\n0.02,3,30\n';

describe('numbers', () => {
  it('are those that Number reads, whatever their digits', () => {
    const state = { isText: false };
    fc.assert(
      fc.property(fc.double({ noNaN: true, noDefaultInfinity: true }), (drawn) => {
        const value = drawn + 0;
        const text = bytes(String(value));
        expect(parseNumber(text, 0, text.length, state)).toBe(value);
      }),
    );
    fc.assert(
      fc.property(fc.integer({ min: -1e9, max: 1e9 }), fc.integer({ min: 0, max: 9 }), (n, d) => {
        const written = (n / 10 ** d).toFixed(d);
        const text = bytes(written);
        expect(parseNumber(text, 0, text.length, state)).toBe(Number(written));
      }),
    );
    expect(state.isText).toBe(false);
  });
});

describe('columns', () => {
  it('are found by name, in any order, others left alone', () => {
    const { columns } = table('emg,angle_deg,note,torque_Nm,time_s\n9,10,x,1,0\n8,20,y,2,0.01\n');
    expect([...(columns.torque ?? [])]).toEqual([1, 2]);
    expect([...(columns.angle ?? [])]).toEqual([10, 20]);
    expect([...(columns.time ?? [])]).toEqual([0, 0.01]);
    expect(columns.velocity).toBeUndefined();
  });

  it.each([
    ['semicolons', 'time_s;torque_Nm;angle_deg\n0;1;10\n'],
    ['tabs and carriage returns', 'time_s\ttorque_Nm\tangle_deg\r\n0\t1\t10\r\n'],
    ['quotes and a byte order mark', '\uFEFF"time_s","torque_Nm","angle_deg"\n0,1,10\n'],
    [
      'comments and blank lines',
      '# made by hand\n\ntime_s,torque_Nm,angle_deg\n# rest\n0,1,10\n\n',
    ],
    ['blanks', 'time_s  torque_Nm angle_deg\n0   1 10\n'],
  ])('with %s', (_, text) => {
    expect([...(table(text).columns.angle ?? [])]).toEqual([10]);
  });

  it('are mapped, scaled and turned', () => {
    const { torque_Nm, angle_deg, time_s } = signal(`t,moment,pos\n${ROWS}`, {
      columns: { time: 't', torque: 'moment', angle: 'pos' },
      scale: { torque: 0.5 },
      sign: { angle: -1 },
    });
    expect([...torque_Nm]).toEqual([0.5, 1, 1.5]);
    expect([...(angle_deg ?? [])]).toEqual([-10, -20, -30]);
    expect([...time_s]).toEqual([0, 0.01, 0.02]);
  });

  it.each([
    ['time_s,torque_ftlb,angle_deg', /--columns torque=torque_ftlb --scale torque=1\.355818/],
    ['time_s,Torque (N-m),angle_deg', /--columns torque="Torque \(N-m\)"/],
    ['time_s,torque_Nm,angle_rad', /--columns angle=angle_rad --scale angle=57\.29578/],
    ['time_ms,torque_Nm,angle_deg', /--columns time=time_ms --scale time=0\.001/],
    ['time_s,torque_Nm,Position [deg]', /--columns angle="Position \[deg\]"/],
    ['time_s,torque_Nm,angle_deg,velocity_radps', /--scale velocity=57\.29578/],
    ['time_s,torque_volts,angle_deg', /--scale torque=FACTOR/],
  ])('in another unit, %s, are refused with the line that maps them', (header, message) => {
    const fields = header.split(',').map(() => '1');
    expect(problem(`${header}\n${fields.join(',')}\n`)).toMatch(message);
  });

  it('mapped by name but in another unit need their scale', () => {
    const columns = { angle: 'angle_rad' };
    expect(problem('time_s,torque_Nm,angle_rad\n0,1,1\n', { columns })).toMatch(
      /--scale angle=57\.29578/,
    );
    const { angle_deg } = signal('time_s,torque_Nm,angle_rad\n0,1,1\n1,1,1\n', {
      columns,
      scale: { angle: 57.29578 },
    });
    expect(angle_deg?.[0]).toBe(57.29578);
  });

  it.each([
    ['', /empty/],
    ['time_s,torque_Nm\n', /no rows/],
    ['1,2,3\n4,5,6\n', /header/],
    ['time_s,angle_deg\n0,1\n1,2\n', /--columns torque=NAME/],
    ['torque_Nm,angle_deg\n0,1\n1,2\n', /--rate HZ/],
    ['time_s,torque_Nm\n0,1\n0.1,abc\n', /line 3: torque_Nm is "abc", not a number/],
    ['time_s;torque_Nm\n0;1,5\n', /line 2.*decimal points/],
    ['time_s,torque_Nm\n0,1\n1\n2,3\n', /line 3 has 1 fields, the header 2/],
    ['time_s,torque_Nm\n0,1\n,2\n', /line 3: the time is missing/],
    ['time_s,torque_Nm\n0,1\n', /one row/],
  ])('that cannot be read are told with their line: %j', (text, message) => {
    expect(problem(text)).toMatch(message);
  });

  it('may be named in any language, in UTF-8 or in an older code', () => {
    const columns = { angle: 'Winkel (°)', torque: 'Moment' };
    const text = 'time_s,Moment,Winkel (°)\n0,1,10\n1,2,20\n';
    expect(signal(text, { columns }).angle_deg?.[1]).toBe(20);
    const latin = Uint8Array.from(text, (character) => character.charCodeAt(0));
    const read = readTable(latin, { columns });
    expect('problem' in read ? read.problem : read.columns.angle?.[1]).toBe(20);
  });

  it('may be named wrongly', () => {
    expect(problem(`time_s,torque_Nm\n0,1\n`, { columns: { angle: 'elbow' } })).toMatch(
      /no column elbow: the header has time_s, torque_Nm/,
    );
  });

  it('count lines right past comments', () => {
    const text = 'time_s,torque_Nm\n# a\n0,1\n\n# b\n1,x\n';
    expect(problem(text)).toMatch(/line 6/);
    expect(problem('# a\ntime_s,torque_Nm\n0,1\n# b\n-1,2\n-2,3\n')).toMatch(/line 5/);
  });
});

describe('missing numbers', () => {
  it.each(['', 'NaN', 'nan', 'NA', 'null', '-'])('written as %j are missing samples', (text) => {
    const { torque_Nm } = signal(`time_s,torque_Nm\n0,1\n0.1,${text}\n0.2,3\n`);
    expect([...torque_Nm]).toEqual([1, Number.NaN, 3]);
  });

  it('in the last, cut-off line only: the line is left out and told', () => {
    const read = table('time_s,torque_Nm,angle_deg\n0,1,10\n0.1,2,2');
    expect(read.damage).toEqual([]);
    const cut = table('time_s,torque_Nm,angle_deg\n0,1,10\n0.1,2');
    expect(cut.damage[0]).toMatch(/line 3, the last, has 2 fields/);
    expect(cut.columns.torque).toHaveLength(1);
  });
});

describe('time', () => {
  it('tells the rate, also when stamps are rounded and holes lie between', () => {
    const stamps = Array.from({ length: 2400 }, (_, i) => (i < 1200 ? i / 240 : i / 240 + 3));
    const text = `time_s,torque_Nm\n${stamps.map((t) => `${t.toFixed(4)},1`).join('\n')}\n`;
    expect(Math.abs(signal(text).rate_Hz - 240)).toBeLessThan(0.02);
    expect(signal(`time_s,torque_Nm\n${ROWS.replaceAll(/,\d+\n/g, '\n')}`).rate_Hz).toBe(100);
  });

  it('uneven is kept as it is', () => {
    const { time_s } = signal('time_s,torque_Nm\n0,1\n0.009,1\n0.021,1\n0.03,1\n');
    expect([...time_s]).toEqual([0, 0.009, 0.021, 0.03]);
  });

  it('that comes twice is told once and its second row left out', () => {
    const rows = Array.from({ length: 50 }, (_, i) => `${(i / 100).toFixed(2)},${String(i)}`);
    rows.splice(20, 0, '0.19,999');
    const { torque_Nm, flags } = signal(`time_s,torque_Nm\n${rows.join('\n')}\n`);
    expect(torque_Nm).toHaveLength(50);
    expect(torque_Nm).not.toContain(999);
    expect(flags.map(({ kind, value }) => [kind, value])).toEqual([['duplicate', 1]]);
  });

  it('that goes back for a row is told; all out of order is refused', () => {
    const rows = Array.from({ length: 300 }, (_, i) => `${(i / 100).toFixed(2)},${String(i)}`);
    rows.splice(200, 0, '1.5,999');
    expect(signal(`time_s,torque_Nm\n${rows.join('\n')}\n`).flags[0]).toMatchObject({
      kind: 'timeReversed',
      start_s: 1.99,
    });
    expect(problem(`time_s,torque_Nm\n${rows.reverse().join('\n')}\n`)).toMatch(/sort the rows/);
  });

  it('with too few digits asks for the rate, and is not used when that is given', () => {
    const rows = Array.from({ length: 100 }, (_, i) => `${(i / 2000).toFixed(3)},1`);
    const text = `time_s,torque_Nm\n${rows.join('\n')}\n`;
    expect(problem(text)).toMatch(/--rate HZ/);
    const { rate_Hz, time_s } = signal(text, { rate_Hz: 2000 });
    expect([rate_Hz, time_s[99]]).toEqual([2000, 99 / 2000]);
  });

  it('by an index counts holes', () => {
    const { time_s } = signal('index,torque_Nm\n5,1\n6,1\n9,1\n', { rate_Hz: 10 });
    expect([...time_s]).toEqual([0.5, 0.6, 0.9]);
  });

  it('against another stated rate is told', () => {
    const { rate_Hz, flags } = signal(`time_s,torque_Nm,angle_deg\n${ROWS}`, { rate_Hz: 110 });
    expect(rate_Hz).toBe(100);
    expect(flags.map(({ kind }) => kind)).toEqual(['rateOff']);
  });
});

it('reads a million lines without a thought for objects', () => {
  const line = bytes('0.0010,-12.3456,45.6789\n');
  const header = bytes('time_s,torque_Nm,angle_deg\n');
  const text = new Uint8Array(header.length + 200_000 * line.length);
  text.set(header);
  for (let i = 0; i < 200_000; i += 1) text.set(line, header.length + i * line.length);
  const read = readTable(text, {});
  if ('problem' in read) throw new Error(read.problem);
  expect(read.columns.torque).toHaveLength(200_000);
  expect(read.columns.angle?.at(-1)).toBe(45.6789);
});
