/**
 * Calibrated samples of a recording out of their folder: a bounded stretch for a page, or the whole as
 * a plain table that `analyze` and any spreadsheet read. A sample that is missing stays missing.
 */
import { setImmediate as othersTurn } from 'node:timers/promises';
import type { StreamBlock, StreamFormat } from '../../shared/block/block.ts';
import type { WiredColumn } from '../../shared/wiring/wire.ts';
import { wiredAs } from '../store/columns.ts';
import { ALL, type IndexRange, readSamples } from '../store/read-blocks.ts';
import type { Recording } from '../store/recording.ts';

/** Header names of plain tables that differ from the column's own. */
const TABLE_NAMES: Readonly<Record<string, string>> = { velocity_degps: 'velocity_deg_per_s' };
/** Lines handed on at once: about 64 KiB. */
const LINES_AT_ONCE = 2_000;

/** Every place of the range has a value, null where there is no sample; absent columns are left out. */
export function samplesOf(
  recording: Recording,
  range: IndexRange,
): Record<string, (number | null)[]> {
  const n = range.toIndex - range.fromIndex;
  const samples: Record<string, (number | null)[]> = {};
  for (const { block, columns } of calibratedBlocks(recording, range)) {
    for (const { name, source, slope, offset } of columns) {
      const values = (samples[name] ??= Array<number | null>(n).fill(null));
      const raw = block.columns[source];
      for (let i = 0; i < block.n; i += 1) {
        const value = slope * (raw?.[i] ?? NaN) + offset;
        values[block.index - range.fromIndex + i] = Number.isNaN(value) ? null : value;
      }
    }
  }
  return samples;
}

/** Lines of CSV: time from the first sample, then the calibrated columns at full precision. */
export async function* tableOf(recording: Recording): AsyncGenerator<string> {
  let names: string[] | null = null;
  let firstIndex = 0;
  let lines: string[] = [];
  for (const { block, columns } of calibratedBlocks(recording, ALL)) {
    if (names === null) {
      names = columns.map(({ name }) => name);
      firstIndex = block.index;
      lines.push(['time_s', ...names.map((name) => TABLE_NAMES[name] ?? name)].join(','));
    }
    const inOrder = names.map((name) => columns.find((column) => column.name === name));
    for (let i = 0; i < block.n; i += 1) {
      const time_s = (block.index + i - firstIndex) / block.format.rate_Hz;
      lines.push([time_s, ...inOrder.map((column) => cell(block, column, i))].join(','));
    }
    if (lines.length < LINES_AT_ONCE) continue;
    yield `${lines.join('\n')}\n`;
    lines = [];
    await othersTurn();
  }
  if (lines.length > 0) yield `${lines.join('\n')}\n`;
}

function cell(block: StreamBlock, column: WiredColumn | undefined, i: number): string {
  const raw = column ? (block.columns[column.source]?.[i] ?? NaN) : NaN;
  return Number.isNaN(raw) ? '' : String((column?.slope ?? 1) * raw + (column?.offset ?? 0));
}

function* calibratedBlocks(recording: Recording, range: IndexRange) {
  let format: StreamFormat | null = null;
  let columns: readonly WiredColumn[] = [];
  for (const block of readSamples(recording.files, range)) {
    if (block.format !== format) {
      format = block.format;
      const wired = wiredAs(recording.start, format);
      columns = 'plan' in wired ? wired.plan.columns : [];
    }
    yield { block, columns };
  }
}
