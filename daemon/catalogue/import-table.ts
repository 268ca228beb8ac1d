/**
 * A plain table as a recording, when that is the truth of it: evenly sampled, in known columns, with a
 * start that somebody states. Anything else stays a table: `analyze` takes it as it is.
 */
import { createHash } from 'node:crypto';
import { existsSync, readFileSync } from 'node:fs';
import { basename } from 'node:path';
import { setImmediate as othersTurn } from 'node:timers/promises';
import type { Signal } from '../../shared/analysis-types.ts';
import type { StreamFormat } from '../../shared/block/block.ts';
import type { Conditions } from '../../shared/record/documents.ts';
import { monotonic_ns, wallClock } from '../clock.ts';
import { packageVersion } from '../package.ts';
import { createRecorder } from '../sinks/recorder.ts';
import { RANDOM_ID_BYTES, recordingFolder, recordingId } from '../store/file-names.ts';
import { readTableFile } from '../tables/read-table-file.ts';

/** A stamp may be this share of a sample away from its place: what printing with few digits does. */
const UNEVEN_SHARE = 0.05;
const BLOCK_SAMPLES = 100;
/** Blocks between two turns for the recorder to write. */
const BLOCKS_A_TURN = 20;

export interface TableOrder {
  readonly file: string;
  readonly startedAt: Date;
  readonly conditions: Conditions;
  /** Samples a second, for a table without a time column. */
  readonly rate_Hz?: number;
}

export type TableImport =
  { readonly recording: string; readonly isNew: boolean } | { readonly problem: string };

/** The same table with the same start is the same recording, on every station. */
export async function importTable(dataFolder: string, order: TableOrder): Promise<TableImport> {
  const { file, startedAt, rate_Hz } = order;
  const options = {
    columns: {},
    scale: {},
    sign: {},
    ...(rate_Hz === undefined ? {} : { rate_Hz }),
  };
  const read = readTableFile(file, options);
  if ('problem' in read) return read;
  if (read.damage.length > 0) return { problem: `it is damaged: ${read.damage[0] ?? ''}` };
  const places = placesOf(read.signal);
  if (places === null) {
    return { problem: 'its samples are not even in time; analyze takes it as it is' };
  }
  const digest = createHash('sha256').update(readFileSync(file)).digest();
  const id = recordingId(startedAt, digest.subarray(0, RANDOM_ID_BYTES));
  const folder = recordingFolder(dataFolder, id);
  if (existsSync(folder)) return { recording: id, isNew: false };
  const problem = await record(folder, id, order, read.signal, places);
  return problem === null ? { recording: id, isNew: true } : { problem };
}

/** Index of each row at the nominal rate; null when the stamps do not lie on it. */
function placesOf({ time_s, rate_Hz }: Signal): Float64Array | null {
  const first = time_s[0] ?? 0;
  let last = -1;
  const places = time_s.map((time) => Math.round((time - first) * rate_Hz));
  const isEven = places.every((place, i) => {
    const away = Math.abs(((time_s[i] ?? NaN) - first) * rate_Hz - place);
    const follows = place > last;
    last = place;
    return follows && away <= UNEVEN_SHARE;
  });
  return isEven && places.length > 1 ? places : null;
}

async function record(
  folder: string,
  id: string,
  { file, startedAt, conditions }: TableOrder,
  signal: Signal,
  places: Float64Array,
): Promise<string | null> {
  const columns = [
    { name: 'torque_Nm', unit: 'Nm', values: signal.torque_Nm },
    { name: 'angle_deg', unit: 'deg', values: signal.angle_deg },
    { name: 'velocity_degps', unit: 'degps', values: signal.velocity_degps },
  ].flatMap(({ values, ...channel }) => (values ? [{ ...channel, values }] : []));
  const format: StreamFormat = {
    rate_Hz: signal.rate_Hz,
    channels: columns.map(({ name, unit }) => ({ name, unit, type: 'float64' })),
    integrity: 'text',
    notes: { table: basename(file) },
  };
  let trouble: string | null = null;
  const recorder = createRecorder({
    folder,
    start: {
      ...{ id, name: basename(file), startedAt: startedAt.toISOString(), startedAt_ns: 0 },
      ...{ software: `momentarm ${packageVersion()}`, station: '', conditions },
      source: { url: basename(file), kind: 'replay', format: 'table' },
      ...{ stream: format, wiring: null, gravity: null, recipe: null },
    },
    clock: { monotonic_ns, wallClock },
    onFault: ({ detail }) => (trouble = detail),
  });
  const refused = await recorder.ready;
  if (refused) return refused.detail;
  let nBlocks = 0;
  for (const { first, end } of runsOf(places)) {
    const index = places[first] ?? 0;
    const n = end - first;
    recorder.write({
      ...{ format, run: 0, first: index, index, n },
      columns: columns.map(({ values }) => values.slice(first, end)),
      arrival_ns: ((index + n) / signal.rate_Hz) * 1e9,
    });
    nBlocks += 1;
    if (nBlocks % BLOCKS_A_TURN === 0) await othersTurn();
  }
  await recorder.close('taken in from a table');
  return trouble;
}

/** Rows whose places follow one another, a block's length at most. */
function* runsOf(places: Float64Array): Generator<{ first: number; end: number }> {
  let first = 0;
  for (let i = 1; i <= places.length; i += 1) {
    const goesOn = i < places.length && places[i] === (places[i - 1] ?? 0) + 1;
    if (goesOn && i - first < BLOCK_SAMPLES) continue;
    yield { first, end: i };
    first = i;
  }
}
