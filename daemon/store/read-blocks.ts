/**
 * The sound blocks of a recording in the order of the stream, each sample once, from any index on.
 * After a write error two files may hold the same blocks; the first that is sound is taken.
 */
import type { StreamBlock } from '../../shared/block/block.ts';
import { presentRuns, unpackBlock, type BlockHead } from '../../shared/record/block-codec.ts';
import { headReader, scanBlocks, type StreamFile } from './stream-file.ts';

/** Stream indices, half-open. */
export interface IndexRange {
  readonly fromIndex: number;
  readonly toIndex: number;
}

export const ALL: IndexRange = { fromIndex: 0, toIndex: Infinity };

export interface SoundBlock {
  readonly file: StreamFile;
  readonly head: BlockHead;
  /** Valid until the next one is taken. */
  readonly bytes: Uint8Array;
}

/** Blocks that may hold samples of the range; the first and last reach beyond it. */
export function* soundBlocks(
  files: readonly StreamFile[],
  range: IndexRange = ALL,
): Generator<SoundBlock, void, undefined> {
  const waiting: Waiting[] = [];
  try {
    for (const file of files) takeNext(waiting, soundBlocksOf(file, range));
    let end = 0;
    for (;;) {
      const earliest = earliestOf(waiting);
      if (earliest === null || earliest.block.head.index >= range.toIndex) return;
      const { block, rest } = earliest;
      if (block.head.index >= end) {
        yield block;
        end = endIndexOf(block);
      }
      waiting.splice(waiting.indexOf(earliest), 1);
      takeNext(waiting, rest);
    }
  } finally {
    for (const { rest } of waiting) rest.return();
  }
}

/** The samples of the range, as stream blocks without holes. */
export function* readSamples(
  files: readonly StreamFile[],
  range: IndexRange = ALL,
): Generator<StreamBlock, void, undefined> {
  for (const { file, head, bytes } of soundBlocks(files, range)) {
    const { layout, format } = file.header;
    for (const block of unpackBlock(bytes, head, layout, format)) {
      const trimmed = trim(block, range);
      if (trimmed !== null) yield trimmed;
    }
  }
}

/** First sample's index and one past the last one's; null without a sound block. */
export function extentOf(file: StreamFile): IndexRange | null {
  let first: SoundBlock | null = null;
  for (let k = 0; first === null && k < file.places; k += 1) first = soundBlockAt(file, k);
  if (first === null) return null;
  const fromIndex = first.head.index;
  let last: SoundBlock | null = null;
  for (let k = file.places - 1; last === null; k -= 1) last = soundBlockAt(file, k);
  return { fromIndex, toIndex: endIndexOf(last) };
}

/** Where the last sound block ends; the end of the head when there is none. */
export function lastSoundByte(file: StreamFile): number {
  for (let k = file.places - 1; k >= 0; k -= 1) {
    if (soundBlockAt(file, k) !== null) return file.headBytes + (k + 1) * file.header.layout.stride;
  }
  return Math.min(file.headBytes, file.bytes);
}

interface Waiting {
  readonly block: SoundBlock;
  readonly rest: Generator<SoundBlock, void, undefined>;
}

function takeNext(waiting: Waiting[], rest: Generator<SoundBlock, void, undefined>): void {
  const next = rest.next();
  if (next.done !== true) waiting.push({ block: next.value, rest });
}

function earliestOf(waiting: readonly Waiting[]): Waiting | null {
  let earliest: Waiting | null = null;
  for (const one of waiting) {
    if (earliest === null || one.block.head.index < earliest.block.head.index) earliest = one;
  }
  return earliest;
}

function* soundBlocksOf(
  file: StreamFile,
  range: IndexRange,
): Generator<SoundBlock, void, undefined> {
  for (const { head, bytes, trouble } of scanBlocks(file, locate(file, range.fromIndex))) {
    if (trouble === null && head !== null) yield { file, head, bytes };
  }
}

function soundBlockAt(file: StreamFile, sequence: number): SoundBlock | null {
  for (const { head, bytes, trouble } of scanBlocks(file, sequence, sequence + 1)) {
    if (trouble === null && head !== null) return { file, head, bytes };
  }
  return null;
}

/** The last sound block that begins at or before the index; 0 when none does. */
function locate(file: StreamFile, index: number): number {
  if (index <= 0) return 0;
  const reader = headReader(file);
  try {
    let found = 0;
    let low = 0;
    let high = file.places;
    while (low < high) {
      const middle = (low + high) >> 1;
      let probe = middle;
      let head = reader.head(probe);
      while (head === null && probe > low) head = reader.head((probe -= 1));
      if (head !== null && head.index > index) high = probe;
      else {
        if (head !== null) found = probe;
        low = middle + 1;
      }
    }
    return found;
  } finally {
    reader.close();
  }
}

function endIndexOf({ file, head, bytes }: SoundBlock): number {
  let last = 0;
  presentRuns(bytes, head, file.header.layout, (_first, end) => {
    last = end;
  });
  return head.index + last;
}

function trim(block: StreamBlock, { fromIndex, toIndex }: IndexRange): StreamBlock | null {
  const from = Math.max(fromIndex - block.index, 0);
  const to = Math.min(toIndex - block.index, block.n);
  if (from >= to) return null;
  if (from === 0 && to === block.n) return block;
  return {
    ...block,
    first: block.first + from,
    index: block.index + from,
    n: to - from,
    columns: block.columns.map((column) => column.subarray(from, to)),
  };
}
