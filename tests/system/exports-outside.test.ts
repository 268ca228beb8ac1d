/** Outside readers open what we write: DuckDB the Parquet, h5py the HDF5, mne the EDF+. */
import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { DuckDBInstance } from '@duckdb/node-api';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { EXPORTERS } from '../../daemon/exporters/index.ts';
import {
  exportSource,
  NOT_A_NUMBER_AT,
  presentIndices,
  truthAt,
} from '../support/export-source.ts';

interface Read {
  edf: {
    rate_Hz: number;
    names: string[];
    startedAt: string;
    torque_Nm: number[];
    annotations: [number, string][];
  };
  hdf5: {
    rate_Hz: number;
    names: string[];
    unit: string;
    index: number[];
    marker_sample_index: number[];
    marker_text: string[];
    torque_Nm: (number | null)[];
  };
}

const folder = mkdtempSync(join(tmpdir(), 'momentarm-outside-'));
const pathOf = (extension: string) => join(folder, `set.${extension}`);
let read: Read;

beforeAll(async () => {
  for (const exporter of EXPORTERS) {
    await exporter.write(exportSource(), pathOf(exporter.extension), () => undefined);
  }
  const script = join(import.meta.dirname, '..', 'python', 'read_exports.py');
  const args = [script, pathOf('edf'), pathOf('h5')];
  const options = { encoding: 'utf8', maxBuffer: 64 << 20 } as const;
  read = JSON.parse(execFileSync('/usr/bin/python3', args, options)) as Read;
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

describe('exports read from outside', () => {
  test('h5py finds every sample, bit for bit, with its unit', () => {
    expect(read.hdf5.rate_Hz).toBe(1000);
    expect(read.hdf5.names.filter((name) => !name.startsWith('marker'))).toEqual([
      'angle_deg',
      'sample_index',
      'time_s',
      'torque_Nm',
    ]);
    expect(read.hdf5.marker_sample_index).toEqual([500, 812.25]);
    expect(read.hdf5.marker_text).toEqual(['strap checked', 'trigger rises']);
    expect(read.hdf5.unit).toBe('Nm');
    expect(read.hdf5.index).toEqual(presentIndices());
    read.hdf5.index.forEach((index, row) => {
      const expected = index === NOT_A_NUMBER_AT ? null : truthAt(index).torque_Nm;
      expect(read.hdf5.torque_Nm[row]).toBe(expected);
    });
  });

  test('mne finds the EDF+ signals within half a step, the holes at the digital minimum', () => {
    const { edf } = read;
    expect(edf.rate_Hz).toBe(1000);
    expect(edf.names).toEqual(['torque_Nm', 'angle_deg']);
    expect(edf.startedAt).toMatch(/^2026-11-25T13:58:02/);
    expect(edf.annotations).toContainEqual([0.5, 'strap checked']);
    expect(edf.annotations).toContainEqual([0.81225, 'trigger rises']);
    expect(edf.annotations).toContainEqual([1.5, 'no samples']);
    const step_Nm = 400 / (2 * 32767);
    const isPresent = new Set(presentIndices());
    // mne scales to volts where it knows the unit; Nm is unknown to it and stays as it is.
    edf.torque_Nm.forEach((value, index) => {
      const isHole = !isPresent.has(index) || index === NOT_A_NUMBER_AT;
      if (isHole) expect(value).toBeCloseTo(-200 - step_Nm, 6);
      else expect(Math.abs(value - truthAt(index).torque_Nm)).toBeLessThanOrEqual(step_Nm * 0.5001);
    });
  });

  test('DuckDB finds every sample of the Parquet file, bit for bit', async () => {
    const connection = await (await DuckDBInstance.create(':memory:')).connect();
    const reader = await connection.runAndReadAll(
      `select sample_index, torque_Nm, angle_deg from '${pathOf('parquet')}' order by 1`,
    );
    const rows = reader.getRows();
    expect(rows.map(([index]) => Number(index))).toEqual(presentIndices());
    for (const [index, torque, angle] of rows) {
      const truth = truthAt(Number(index));
      expect(angle).toBe(truth.angle_deg);
      expect(torque).toBe(Number(index) === NOT_A_NUMBER_AT ? Number.NaN : truth.torque_Nm);
    }
    connection.closeSync();
  });
});
