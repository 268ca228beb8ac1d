/** Reads the events of a recording: sound lines in order, each number once, damage by its bytes. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { crc32 } from 'node:zlib';
import { parseEvent, type RecordingEvent } from '../../shared/record/documents.ts';
import { openLine } from '../../shared/record/sealed-json.ts';

const LINE_FEED = 0x0a;

export interface BadLine {
  readonly file: string;
  readonly fromByte: number;
  readonly toByte: number;
  /** No sound line follows in its file: an unfinished end rather than damage. */
  isAtEnd: boolean;
}

export interface EventReading {
  readonly events: readonly RecordingEvent[];
  readonly bad: readonly BadLine[];
}

/** `names` in the order of their numbers. */
export function readEvents(folder: string, names: readonly string[]): EventReading {
  const events = new Map<number, RecordingEvent>();
  const bad: BadLine[] = [];
  for (const file of names) {
    const bytes = readFileSync(join(folder, file));
    for (let from = 0; from < bytes.length;) {
      const feed = bytes.indexOf(LINE_FEED, from);
      const to = feed === -1 ? bytes.length : feed + 1;
      const parsed = parseEvent(openLine(bytes.subarray(from, to), crc32));
      if ('value' in parsed) {
        events.set(parsed.value.sequence, parsed.value);
        for (const line of bad) if (line.file === file) line.isAtEnd = false;
      } else bad.push({ file, fromByte: from, toByte: to, isAtEnd: true });
      from = to;
    }
  }
  return { events: [...events.values()].sort((a, b) => a.sequence - b.sequence), bad };
}
