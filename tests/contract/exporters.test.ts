/** Every exporter: deterministic, complete, with its sidecar; and the odd cases of each format. */
import { mkdirSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { textCell } from '../../daemon/exporters/csv.ts';
import { edfNumber } from '../../daemon/exporters/edf-header.ts';
import { EXPORTERS } from '../../daemon/exporters/index.ts';
import {
  exportSource,
  NOT_A_NUMBER_AT,
  presentIndices,
  truthAt,
} from '../support/export-source.ts';

const folder = mkdtempSync(join(tmpdir(), 'momentarm-export-'));
/** Files of each exporter, written into two folders in different seconds of the clock. */
const later = new Map<string, string[]>();
beforeAll(async () => {
  for (const time of ['sooner', 'later']) {
    mkdirSync(join(folder, time));
    for (const exporter of EXPORTERS) {
      const path = join(folder, time, `set-${exporter.id}.${exporter.extension}`);
      later.set(exporter.id, await exporter.write(exportSource(), path, () => undefined));
    }
    if (time === 'sooner') await new Promise((resolve) => setTimeout(resolve, 1100));
  }
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

describe.each(EXPORTERS)('$id', (exporter) => {
  test('writes the same bytes at another second', () => {
    const files = later.get(exporter.id) ?? [];
    expect(files.length).toBeGreaterThan(1);
    for (const path of files) {
      const other = join(folder, 'sooner', path.slice(join(folder, 'later').length));
      expect(readFileSync(path).equals(readFileSync(other)), path).toBe(true);
    }
  });

  test('tells how far it is and leaves a sidecar that explains every column', async () => {
    const reached: number[] = [];
    const path = join(folder, `c.${exporter.extension}`);
    const files = await exporter.write(exportSource(), path, (index) => reached.push(index));
    expect(reached.at(-1)).toBe(3200);
    expect(files[0]).toBe(path);
    const sidecar = JSON.parse(readFileSync(join(folder, 'c.json'), 'utf8')) as Record<
      string,
      unknown
    >;
    expect(sidecar).toMatchObject({
      SamplingFrequency: 1000,
      StartTime: 0,
      Columns: ['sample_index', 'time_s', 'torque_Nm', 'angle_deg'],
      torque_Nm: { Units: 'Nm', Delay: 0.004 },
      Markers: [
        { onset: 0.5, sampleIndex: 500, kind: 'marker', description: 'strap checked' },
        { onset: 0.81225, sampleIndex: 812.25, kind: 'trigger', description: 'trigger rises' },
      ],
      Holes: [{ firstSample: 1500, samples: 760 }],
      Provenance: { subject: 'SH-03' },
    });
  });

  test('writes a recording without samples as an empty file of its format', async () => {
    const path = join(folder, `empty.${exporter.extension}`);
    await exporter.write(exportSource(0), path, () => undefined);
    expect(readFileSync(path).length).toBeGreaterThan(0);
  });
});

describe('csv', () => {
  test('keeps every bit of every number and leaves a missing one empty', async () => {
    const path = join(folder, 'bits.csv');
    await EXPORTERS[0].write(exportSource(), path, () => undefined);
    const [header, ...rows] = readFileSync(path, 'utf8').trimEnd().split('\n');
    expect(header).toBe('sample_index,time_s,torque_Nm,angle_deg');
    expect(rows.map((row) => Number(row.split(',')[0]))).toEqual(presentIndices());
    for (const row of rows) {
      const [index = '', time_s, torque, angle] = row.split(',');
      const truth = truthAt(Number(index));
      expect(Number(time_s)).toBe(Number(index) / 1000);
      expect(Number(angle)).toBe(truth.angle_deg);
      if (Number(index) === NOT_A_NUMBER_AT) expect(torque).toBe('');
      else expect(Number(torque)).toBe(truth.torque_Nm);
    }
  });

  test('has its markers beside it, with the fraction between two samples', async () => {
    const path = join(folder, 'marked.csv');
    await EXPORTERS[0].write(exportSource(), path, () => undefined);
    expect(readFileSync(join(folder, 'marked.markers.csv'), 'utf8')).toBe(
      'sample_index,time_s,kind,text\n500,0.5,marker,strap checked\n' +
        '812.25,0.81225,trigger,trigger rises\n',
    );
  });

  // OWASP "CSV Injection": cells that begin with = + - @ tab or return may run as formulas.
  test.each(['=1+1', '+cmd', '-2+3', '@sum', '\tx', '\rx'])('makes %j inert', (text) => {
    expect(textCell(text).replace(/^"/, '')).toMatch(/^'/);
  });

  // RFC 4180 section 2.6 and 2.7: quotes, commas and line breaks are quoted, quotes doubled.
  test('quotes as RFC 4180 says', () => {
    expect(textCell('a,"b"')).toBe('"a,""b"""');
    expect(textCell('plain')).toBe('plain');
  });
});

describe('edf', () => {
  test('loses no marker, however many stand in one second', async () => {
    const path = join(folder, 'crowded.edf');
    const markers = Array.from({ length: 200 }, (_, k) => {
      return {
        index: k,
        time_s: k / 1000,
        kind: 'marker' as const,
        text: `marker ${k} ${'x'.repeat(k)}`,
      };
    });
    const edf = EXPORTERS.find(({ id }) => id === 'edf');
    await edf?.write({ ...exportSource(), markers }, path, () => undefined);
    const bytes = readFileSync(path).toString('latin1');
    for (const { text } of markers) expect(bytes).toContain(`\x14${text}\x14\0`);
  });

  // EDF specification: numbers in the header are ASCII of at most 8 characters.
  test.each([
    [-200, '-200'],
    [0.30517578125, '0.305176'],
    [-123456.789, '-123457'],
    [1 / 3, '0.333333'],
  ])('prints %d in 8 characters', (value, text) => {
    expect(edfNumber(value)).toBe(text);
    expect(edfNumber(value).length).toBeLessThanOrEqual(8);
  });
});
