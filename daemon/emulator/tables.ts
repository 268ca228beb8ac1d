/**
 * Files beside the emulated stream: the calibrated samples as a plain table, and the truth. A file is
 * written as it grows, so that its length does not matter.
 */
import { closeSync, openSync, writeSync } from 'node:fs';
import { TRUTH_COLUMNS, type SimulatedSamples } from '../../shared/simulation/index.ts';
import type { Wiring } from '../../shared/wiring/schema.ts';
import { UsageError } from '../cli/command.ts';

export interface Table {
  write(samples: SimulatedSamples): void;
  close(): void;
}

export interface TableOptions {
  readonly path: string;
  readonly wiring: Wiring;
  readonly rate_Hz: number;
}

const PLAIN = ['torque_Nm', 'angle_deg', 'velocity_deg_per_s'];
/** Finer than the converter's step of any channel. */
const DECIMALS = 4;
const TIME_DECIMALS = 6;

/** What a person's own table would look like: `time_s,torque_Nm,angle_deg`. */
export function createPlainTable(options: TableOptions): Table {
  const calibrate = calibration(options.wiring, 2);
  return createTable(options, ['time_s', ...PLAIN.slice(0, 2)], calibrate);
}

/** The plain columns and the truth of the same samples. */
export function createTruthTable(options: TableOptions): Table {
  const calibrate = calibration(options.wiring, PLAIN.length);
  const names = TRUTH_COLUMNS.map((name) => `true_${name}`);
  return createTable(options, ['time_s', ...PLAIN, ...names], (samples, i) => [
    ...calibrate(samples, i),
    ...TRUTH_COLUMNS.map((name) => samples.truth[name][i] ?? NaN),
  ]);
}

type Row = (samples: SimulatedSamples, i: number) => number[];

function calibration(wiring: Wiring, nChannels: number): Row {
  const scales = wiring.channels.slice(0, nChannels);
  return ({ columns }, i) =>
    scales.map(({ slope = 1, offset = 0, sign = 1 }, c) => {
      return sign * (slope * (columns[c]?.[i] ?? NaN) + offset);
    });
}

function createTable({ path, rate_Hz }: TableOptions, names: readonly string[], row: Row): Table {
  const file = openToWrite(path);
  let sample = 0;
  writeSync(file, `${names.join(',')}\n`);
  return {
    write(samples) {
      let text = '';
      for (let i = 0; i < samples.n; i++, sample++) {
        text += (sample / rate_Hz).toFixed(TIME_DECIMALS);
        for (const value of row(samples, i)) text += `,${Number(value.toFixed(DECIMALS))}`;
        text += '\n';
      }
      writeSync(file, text);
    },
    close: () => closeSync(file),
  };
}

function openToWrite(path: string): number {
  try {
    return openSync(path, 'w');
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    throw new UsageError(`cannot write ${path}: ${why}`);
  }
}
