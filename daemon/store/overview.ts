/**
 * Hours at a glance: least and largest values of a column in as many buckets as a screen has pixels.
 * Wide spans come from a small file of extremes that is made on first need, narrow ones from the samples.
 */
import { readFileSync, renameSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { setImmediate as othersTurn } from 'node:timers/promises';
import { crc32 } from 'node:zlib';
import { createBuckets, type BucketFiller, type Buckets } from '../../shared/record/buckets.ts';
import {
  addBlock,
  cellSamplesFor,
  emptyExtremes,
  type Extremes,
} from '../../shared/record/extremes.ts';
import { decodeOverview, encodeOverview } from '../../shared/record/overview-codec.ts';
import { columnsOf, type RecordedColumn } from './columns.ts';
import { overviewFile } from './file-names.ts';
import { extentOf, readSamples, soundBlocks, type IndexRange } from './read-blocks.ts';
import type { Recording } from './recording.ts';
import type { StreamFile } from './stream-file.ts';

/** A cell at the edge of a bucket counts in both; a quarter of a pixel is not seen. */
const LEAST_CELLS_A_BUCKET = 4;
/** Samples between two turns for others: about 5 ms of work. */
const SAMPLES_A_TURN = 200_000;

export interface OverviewQuery extends IndexRange {
  /** A calibrated column (`torque_Nm`) or a channel by the device's name. */
  readonly column: string;
  readonly buckets: number;
}

export interface Overview extends Buckets {
  readonly unit: string;
}

/** Null when no stream file of the recording has such a column. */
export async function readOverview(
  recording: Recording,
  query: OverviewQuery,
): Promise<Overview | null> {
  const { fromIndex, toIndex, buckets: count } = query;
  const buckets = createBuckets({ fromIndex, toIndex, count });
  let unit: string | null = null;
  for (const file of recording.files) {
    const columns = columnsOf(recording.start, file.header.format);
    const column = columns.find(({ name }) => name === query.column);
    if (column === undefined) continue;
    unit ??= column.unit;
    const extent = extentOf(file);
    if (extent === null) continue;
    const cellSamples = cellSamplesFor(extent.toIndex - extent.fromIndex);
    const isWide = (toIndex - fromIndex) / count >= LEAST_CELLS_A_BUCKET * cellSamples;
    if (isWide) fillFromCells(buckets, await extremesOf(recording, file, extent), column);
    else await fillFromSamples(buckets, file, query, column);
  }
  return unit === null ? null : { min: buckets.min, max: buckets.max, unit };
}

/** Kept beside the stream file once the recording is closed. */
async function extremesOf(
  recording: Recording,
  file: StreamFile,
  extent: IndexRange,
): Promise<Extremes> {
  const { nonce, segment } = file.header;
  const path = join(dirname(file.path), overviewFile(segment));
  const origin = { nonce, bytes: file.bytes };
  const kept = readIfThere(path);
  const known = kept === null ? null : decodeOverview(kept, origin, crc32);
  if (known !== null) return known;
  const { layout } = file.header;
  const extremes = emptyExtremes(extent.fromIndex, extent.toIndex, layout.columns.length);
  let sinceTurn = 0;
  for (const { head, bytes } of soundBlocks([file])) {
    addBlock(extremes, bytes, head, layout);
    sinceTurn += head.n;
    if (sinceTurn < SAMPLES_A_TURN) continue;
    sinceTurn = 0;
    await othersTurn();
  }
  if (recording.stop !== null) keep(path, encodeOverview(extremes, origin, crc32));
  return extremes;
}

function fillFromCells(buckets: BucketFiller, extremes: Extremes, column: RecordedColumn): void {
  const { firstIndex, cellSamples, nCells } = extremes;
  const [min, max] = [extremes.min[column.source], extremes.max[column.source]];
  for (let cell = 0; cell < nCells; cell += 1) {
    const first = firstIndex + cell * cellSamples;
    addSpan(buckets, first, first + cellSamples, column, min?.[cell], max?.[cell]);
  }
}

async function fillFromSamples(
  buckets: BucketFiller,
  file: StreamFile,
  range: IndexRange,
  column: RecordedColumn,
): Promise<void> {
  let sinceTurn = 0;
  for (const block of readSamples([file], range)) {
    const values = block.columns[column.source];
    for (let i = 0; i < block.n; i += 1) {
      const index = block.index + i;
      addSpan(buckets, index, index + 1, column, values?.[i], values?.[i]);
    }
    sinceTurn += block.n;
    if (sinceTurn < SAMPLES_A_TURN) continue;
    sinceTurn = 0;
    await othersTurn();
  }
}

/** In the column's unit; a negative slope turns least and largest round. */
function addSpan(
  buckets: BucketFiller,
  first: number,
  end: number,
  { slope, offset }: RecordedColumn,
  min = Number.NaN,
  max = Number.NaN,
): void {
  if (!(min <= max)) return;
  const [a, b] = [slope * min + offset, slope * max + offset];
  buckets.span(first, end, Math.min(a, b), Math.max(a, b));
}

function readIfThere(path: string): Uint8Array | null {
  try {
    return readFileSync(path);
  } catch {
    return null;
  }
}

/** A full or read-only disk is no reason not to show a recording. */
function keep(path: string, bytes: Uint8Array): void {
  try {
    writeFileSync(`${path}.tmp`, bytes, { mode: 0o600 });
    renameSync(`${path}.tmp`, path);
  } catch {
    return;
  }
}
