/** What one pass over all blocks of a stream file finds: counts, digests, damage. */
import { createHash } from 'node:crypto';
import { closeSync, openSync, readSync } from 'node:fs';
import type { BlockTrouble } from '../../shared/record/block-codec.ts';
import type { SegmentSummary } from '../../shared/record/documents.ts';
import { scanBlocks, type ScannedBlock, type StreamFile } from './stream-file.ts';
import { createTally } from './tally.ts';

/** Neighbouring block places that are not believed, for one reason. */
export interface BadStretch {
  readonly trouble: BlockTrouble;
  readonly fromByte: number;
  toByte: number;
  blocks: number;
  /** End of the last sound sample before it; null when there is none. */
  readonly fromIndex: number | null;
  /** First sound sample after it; null when there is none. */
  toIndex: number | null;
}

export interface Survey {
  /** `damagedBlocks` leaves out the unfinished end. */
  readonly summary: SegmentSummary;
  /** The unfinished end, if any, is the last one and has no `toIndex`. */
  readonly bad: readonly BadStretch[];
  /** Where the last sound block ends. */
  readonly soundBytes: number;
}

export interface Surveyor {
  /** Blocks in the order of the file. */
  add(block: ScannedBlock): void;
  /** May be called once. */
  result(): Survey;
}

export function createSurveyor(file: StreamFile): Surveyor {
  const hash = createHash('sha256');
  hash.update(readHeadBytes(file));
  const tally = createTally(file.header.layout);
  const bad: BadStretch[] = [];
  let soundBytes = file.headBytes;
  let endIndex: number | null = null;

  function addBad(block: ScannedBlock, trouble: BlockTrouble): void {
    const { offset, bytes } = block;
    const toByte = offset + bytes.length;
    const last = bad.at(-1);
    if (last?.trouble === trouble && last.toByte === offset) {
      last.toByte = toByte;
      last.blocks += 1;
    } else {
      bad.push({
        trouble,
        fromByte: offset,
        toByte,
        blocks: 1,
        fromIndex: endIndex,
        toIndex: null,
      });
    }
  }

  return {
    add(block) {
      const { bytes, head, trouble, offset } = block;
      hash.update(bytes);
      if (trouble !== null) {
        addBad(block, trouble);
        return;
      }
      if (head === null) return;
      for (let k = bad.length - 1; k >= 0; k -= 1) {
        const stretch = bad[k];
        if (stretch === undefined || stretch.toIndex !== null) break;
        stretch.toIndex = head.index;
      }
      tally.add(bytes, head);
      endIndex = tally.endIndex;
      soundBytes = offset + bytes.length;
    },
    result() {
      const inside = bad.filter((stretch) => stretch.toByte <= soundBytes);
      const damagedBlocks = inside.reduce((sum, stretch) => sum + stretch.blocks, 0);
      const sha256 = hash.digest('hex');
      const { name, bytes, header } = file;
      const { rate_Hz } = header.format;
      const summary = { name, bytes, sha256, rate_Hz, ...tally.summary(), damagedBlocks };
      return { summary, bad, soundBytes };
    },
  };
}

/** The whole pass at once. */
export function survey(file: StreamFile): Survey {
  const surveyor = createSurveyor(file);
  for (const block of scanBlocks(file)) surveyor.add(block);
  return surveyor.result();
}

function readHeadBytes(file: StreamFile): Uint8Array {
  const bytes = new Uint8Array(Math.min(file.headBytes, file.bytes));
  const fd = openSync(file.path, 'r');
  try {
    return bytes.subarray(0, readSync(fd, bytes, 0, bytes.length, 0));
  } finally {
    closeSync(fd);
  }
}
