/**
 * The entries on disk: `catalogue.jsonl` in the data folder, `edits.jsonl` in a recording's folder.
 * A line is sealed with its CRC-32 and on the disk before `append` returns. A torn last line is left
 * out; damage elsewhere is told, never passed over.
 */
import {
  closeSync,
  existsSync,
  fdatasyncSync,
  openSync,
  readFileSync,
  readSync,
  statSync,
  writeSync,
} from 'node:fs';
import { crc32 } from 'node:zlib';
import * as v from 'valibot';
import { entrySchema, type Entry } from '../../shared/catalogue/entry.ts';
import { openLine, sealLine } from '../../shared/record/sealed-json.ts';

export interface LogReading {
  readonly entries: readonly Entry[];
  /** Lines that are not what was written, by number from 1; the torn end of the last one included. */
  readonly damagedLines: readonly number[];
}

const LINE_FEED = 0x0a;

/** Throws what the disk says (full, read-only): then nothing counts as saved. */
export function appendEntry(path: string, entry: Entry): void {
  const isTorn = existsSync(path) && !endsWithLineFeed(path);
  const file = openSync(path, 'a');
  try {
    // A torn line stays as it is, ended, so that the new one is not lost with it.
    if (isTorn) writeSync(file, '\n');
    const line = sealLine(entry, crc32);
    let written = 0;
    while (written < line.length) written += writeSync(file, line, written);
    fdatasyncSync(file);
  } finally {
    closeSync(file);
  }
}

export function readEntries(path: string): LogReading {
  if (!existsSync(path)) return { entries: [], damagedLines: [] };
  const bytes = readFileSync(path);
  const entries: Entry[] = [];
  const damagedLines: number[] = [];
  let lineNumber = 0;
  for (let first = 0; first < bytes.length;) {
    const feed = bytes.indexOf(LINE_FEED, first);
    const end = feed === -1 ? bytes.length : feed + 1;
    lineNumber += 1;
    const parsed = v.safeParse(entrySchema, openLine(bytes.subarray(first, end), crc32));
    if (parsed.success) entries.push(parsed.output);
    else damagedLines.push(lineNumber);
    first = end;
  }
  return { entries, damagedLines };
}

function endsWithLineFeed(path: string): boolean {
  const { size } = statSync(path);
  if (size === 0) return true;
  const file = openSync(path, 'r');
  try {
    const last = Buffer.alloc(1);
    readSync(file, last, 0, 1, size - 1);
    return last[0] === LINE_FEED;
  } finally {
    closeSync(file);
  }
}
