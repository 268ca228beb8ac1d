/** The names inside a recording's folder, and the ids that folders are called by. */
import { join } from 'node:path';

export const START_FILE = 'start.json';
export const STOP_FILE = 'stop.json';
export const README_FILE = 'README.txt';
/** Decisions of people after the recording; appended by the catalogue. */
export const EDITS_FILE = 'edits.jsonl';
/** Room kept for the end of a recording on a full disk; gone when it is closed. */
export const RESERVE_FILE = 'reserve.bin';

export const streamFile = (n: number): string => `stream-${n}.blk`;
export const overviewFile = (n: number): string => `overview-${n}.bin`;
/** A second file of these begins only after a write error. */
export const eventsFile = (n: number): string => (n === 0 ? 'events.jsonl' : `events-${n}.jsonl`);
export const undecodedFile = (n: number): string =>
  n === 0 ? 'undecoded.bin' : `undecoded-${n}.bin`;
/** What recovery cut off the end of a file, and where it stood. */
export const tornFile = (name: string, offset: number): string => `${name}.${offset}.torn`;

export const isStreamFile = (name: string): boolean => /^stream-\d+\.blk$/.test(name);
export const isEventsFile = (name: string): boolean => /^events(-\d+)?\.jsonl$/.test(name);
export const isUndecodedFile = (name: string): boolean => /^undecoded(-\d+)?\.bin$/.test(name);
export const isTornFile = (name: string): boolean => /\.\d+\.torn$/.test(name);

export const recordingsFolder = (dataFolder: string): string => join(dataFolder, 'recordings');
export const recordingFolder = (dataFolder: string, id: string): string =>
  join(recordingsFolder(dataFolder), id);

/** 80 bits: two of a million million recordings meet by chance once in ten thousand such worlds. */
export const RANDOM_ID_BYTES = 10;
const ID_PATTERN = /^[0-9a-z][0-9a-z-]{0,95}$/i;
/** Digits and lower-case letters that are not mistaken for one another (Crockford's base 32). */
const DIGITS = '0123456789abcdefghjkmnpqrstvwxyz';

/**
 * An id that no other station will give: the start in UTC, then `random` (10 bytes of good chance).
 * Lower-case letters, digits and dashes only: a file name on every system, also where case is ignored.
 */
export function recordingId(startedAt: Date, random: Uint8Array): string {
  const [date = '', time = ''] = startedAt.toISOString().split('T');
  const stamp = `${date.replaceAll('-', '')}-${time.slice(0, 8).replaceAll(':', '')}`;
  let bits = 0n;
  for (const byte of random) bits = (bits << 8n) | BigInt(byte);
  let text = '';
  for (let k = 0; k < Math.ceil((random.length * 8) / 5); k += 1) {
    text = (DIGITS[Number(bits & 31n)] ?? '') + text;
    bits >>= 5n;
  }
  return `${stamp}-${text}`;
}

/** Whether a text can be the id of a recording; whatever else is typed never becomes a path. */
export function isRecordingId(text: string): boolean {
  return ID_PATTERN.test(text);
}
