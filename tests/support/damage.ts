/** Damages a recording's files in every way a disk knows, and asks what readers make of it. */
import { closeSync, ftruncateSync, openSync, readdirSync, readFileSync, writeSync } from 'node:fs';
import { join } from 'node:path';
import { readSamples } from '../../daemon/store/read-blocks.ts';
import { openRecording } from '../../daemon/store/recording.ts';
import { verifyRecording } from '../../daemon/store/verify.ts';
import { wrongSamples } from './recordings.ts';

export interface Outcome {
  readonly isNoticed: boolean;
  readonly nRead: number;
  readonly nWrong: number;
  readonly lostSamples: number;
}

export interface Original {
  readonly folder: string;
  /** Every file with its bytes. */
  readonly files: ReadonlyMap<string, Buffer>;
}

export function originalOf(folder: string): Original {
  const names = readdirSync(folder).sort();
  return { folder, files: new Map(names.map((name) => [name, readFileSync(join(folder, name))])) };
}

/** What is found with `bytes` in the place of a file; the file is put back. */
export function withDamage({ folder, files }: Original, name: string, bytes: Uint8Array): Outcome {
  const path = join(folder, name);
  writeOver(path, bytes);
  try {
    const report = verifyRecording(folder);
    const { nRead, nWrong } = wrongSamples(readSamples(openRecording(folder).files));
    return { isNoticed: !report.isSound, nRead, nWrong, lostSamples: report.lostSamples };
  } finally {
    writeOver(path, files.get(name) ?? Buffer.alloc(0));
  }
}

/** In place: a file that is emptied and written anew is waited for by some file systems. */
function writeOver(path: string, bytes: Uint8Array): void {
  const file = openSync(path, 'r+');
  try {
    writeSync(file, bytes, 0, bytes.length, 0);
    ftruncateSync(file, bytes.length);
  } finally {
    closeSync(file);
  }
}

export function flipped(bytes: Uint8Array, bit: number): Uint8Array {
  const changed = Uint8Array.from(bytes);
  changed[bit >> 3] = (changed[bit >> 3] ?? 0) ^ (1 << (bit & 7));
  return changed;
}

/** Numbers in [0, 1), the same for the same seed (mulberry32, from memory). */
export function seeded(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 2 ** 32;
  };
}
