/**
 * Counts and digests of one stream file as its sound blocks go by, while recording or reading.
 * The digests of the samples do not depend on how they are packed: a packed copy must give the same.
 */
import { createHash } from 'node:crypto';
import { presentRuns, type BlockHead } from '../../shared/record/block-codec.ts';
import { setI64, viewOf } from '../../shared/record/bytes.ts';
import type { SegmentSummary } from '../../shared/record/documents.ts';
import type { BlockLayout } from '../../shared/record/layout.ts';
import { createRunCounter } from '../../shared/record/run-counter.ts';

export interface Tally {
  /** A sound block, in the order of the file. */
  add(bytes: Uint8Array, head: BlockHead): void;
  /** One past the last sample so far. */
  readonly endIndex: number;
  /** May be called once. */
  summary(): Omit<SegmentSummary, 'name' | 'bytes' | 'sha256' | 'rate_Hz' | 'damagedBlocks'>;
}

export function createTally(layout: BlockLayout): Tally {
  const columnHashes = layout.columns.map(() => createHash('sha256'));
  const runHash = createHash('sha256');
  const runBytes = new Uint8Array(16);
  const counter = createRunCounter((first, end) => {
    setI64(viewOf(runBytes), 0, first);
    setI64(viewOf(runBytes), 8, end - first);
    runHash.update(runBytes);
  });
  let blocks = 0;

  return {
    add(bytes, head) {
      blocks += 1;
      presentRuns(bytes, head, layout, (first, end) => {
        counter.run(head.index + first, head.index + end);
        layout.columns.forEach(({ offset, bytes: width }, c) => {
          columnHashes[c]?.update(bytes.subarray(offset + first * width, offset + end * width));
        });
      });
    },
    get endIndex() {
      return counter.endIndex;
    },
    summary() {
      counter.end();
      const { samples, missing, gaps, firstIndex, endIndex } = counter;
      return {
        blocks,
        samples,
        missing,
        gaps,
        firstIndex,
        endIndex,
        runsSha256: runHash.digest('hex'),
        columnsSha256: columnHashes.map((hash) => hash.digest('hex')),
      };
    },
  };
}
