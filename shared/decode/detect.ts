/**
 * Tells lines from packets by what fraction of the bytes is valid, so it also tells a wrong baud rate.
 * It never guesses: what is neither for the most part is doubtful, and a person is asked.
 */
import { asciiText } from './ascii.ts';
import { CobsReader } from './cobs.ts';
import { crc32 } from './crc32.ts';
import { FieldReader, MAX_FIELDS } from './fields.ts';
import { MAX_LINE_BYTES, parseNames } from './line-names.ts';
import { CRC_BYTES, MAX_BODY_BYTES } from './packet-layout.ts';
import { createSplitter } from './split.ts';

/** Half the bytes in frames whose CRC-32 fits cannot be chance; one frame by chance is 1 in 4e9. */
const PACKETS_FRACTION = 0.5;
/** Text has no checksum, so more of it must be well formed, and several lines alike. */
const LINES_FRACTION = 0.8;
const MIN_LINES = 8;

export interface Judgement {
  readonly verdict: 'lines' | 'packets' | 'doubtful';
  /** Bytes in whole frames that were looked at; what is cut at either end is not. */
  readonly nBytes: number;
  /** Fractions of the bytes that are valid as lines and as packets, 0 to 1. */
  readonly lines: number;
  readonly packets: number;
}

/** Of a piece of a stream that may begin and end anywhere. */
export function judge(bytes: Uint8Array): Judgement {
  const asPackets = validPackets(bytes);
  const asLines = validLines(bytes);
  const packets = fraction(asPackets);
  const lines = fraction(asLines);
  const isLines = lines >= LINES_FRACTION && asLines.nRows >= MIN_LINES;
  const verdict = packets >= PACKETS_FRACTION ? 'packets' : isLines ? 'lines' : 'doubtful';
  return { verdict, nBytes: Math.max(asPackets.nBytes, asLines.nBytes), lines, packets };
}

interface Tally {
  readonly nBytes: number;
  readonly nValid: number;
}

function fraction({ nBytes, nValid }: Tally): number {
  return nBytes === 0 ? 0 : nValid / nBytes;
}

function validPackets(bytes: Uint8Array): Tally {
  const cobs = new CobsReader(MAX_BODY_BYTES);
  const view = new DataView(cobs.body.buffer);
  let nBytes = 0;
  let nValid = 0;
  let isCut = true;
  const split = createSplitter(0, MAX_BODY_BYTES, {
    frame(piece, first, end) {
      const n = end > first && cobs.read(piece, first) ? cobs.n - CRC_BYTES : 0;
      const isValid = n > 0 && crc32(cobs.body, 0, n) === view.getUint32(n, true);
      if (isValid) nValid += end - first;
      if (isValid || !isCut) nBytes += end - first;
      isCut = false;
    },
    tooLong: () => undefined,
    skip: (n) => (nBytes += n),
  });
  split(bytes);
  return { nBytes, nValid };
}

/** Rows count as valid when they have the number of fields that most rows have. */
function validLines(bytes: Uint8Array): Tally & { readonly nRows: number } {
  const fields = new FieldReader();
  const nRowsOf = new Int32Array(MAX_FIELDS + 1);
  const nBytesOf = new Int32Array(MAX_FIELDS + 1);
  let nBytes = 0;
  let nValid = 0;
  let isCut = true;
  const split = createSplitter(0x0a, MAX_LINE_BYTES, {
    frame(piece, first, end) {
      const last = end > first && piece[end - 1] === 0x0d ? end - 1 : end;
      const n = fields.read(piece, first, last);
      const isText = n < 0 && isOwnWords(asciiText(piece, first, last));
      if (n > 1) {
        nRowsOf[n] += 1;
        nBytesOf[n] += end - first;
      }
      if (isText) nValid += end - first;
      if (!isCut || n > 1 || isText) nBytes += end - first;
      isCut = false;
    },
    tooLong: () => undefined,
    skip: (n) => (nBytes += n),
  });
  split(bytes);
  const usual = nRowsOf.indexOf(Math.max(...nRowsOf));
  return { nBytes, nValid: nValid + nBytesOf[usual], nRows: nRowsOf[usual] };
}

/** A comment or a line of names. */
function isOwnWords(text: string): boolean {
  return /^#[\x20-\x7e\t]*$/.test(text) || parseNames(text) !== null;
}
