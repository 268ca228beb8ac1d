/** Ways to decode the same bytes: ours, what one writes first, what libraries offer, and a bare copy. */
import { DelimiterParser, ReadlineParser } from 'serialport';
import type { RawBlock } from '../../../shared/block/block.ts';
import { dialectById, type DialectId } from '../../../shared/decode/index.ts';

export interface Decoded {
  readonly frames: number;
  /** Sum over the last sample of every block of 20, over all columns. */
  readonly checksum: number;
}

export type Variant = (pieces: readonly Uint8Array[], nColumns: number) => Promise<Decoded>;

const BLOCK = 20;

/** Rows one by one, as the simple ways give them. */
function createTally() {
  let frames = 0;
  let checksum = 0;
  return {
    row: (values: readonly number[]): void => {
      frames += 1;
      if (frames % BLOCK === 0) for (const value of values) checksum += value;
    },
    decoded: (): Decoded => ({ frames, checksum }),
  };
}

function ours(dialect: DialectId): Variant {
  return (pieces) => {
    let frames = 0;
    let checksum = 0;
    const block = ({ n, columns }: RawBlock): void => {
      frames += n;
      for (const column of columns) checksum += column[n - 1] ?? Number.NaN;
    };
    const decoder = dialectById(dialect)?.create({ blockSamples: BLOCK }, { block, fault: refuse });
    for (const piece of pieces) decoder?.push(piece);
    decoder?.flush();
    return Promise.resolve({ frames, checksum });
  };
}

function refuse(code: string, detail: string): void {
  throw new Error(`${code} ${detail}`);
}

const CRC_TABLE = Array.from({ length: 256 }, (_, byte) => {
  let crc = byte;
  for (let bit = 0; bit < 8; bit += 1) crc = crc & 1 ? (crc >>> 1) ^ 0xedb88320 : crc >>> 1;
  return crc;
});

function crcOf(bytes: readonly number[]): number {
  let crc = -1;
  for (const byte of bytes) crc = (crc >>> 8) ^ (CRC_TABLE[(crc ^ byte) & 255] ?? 0);
  return ~crc >>> 0;
}

/** Bytes pushed to an array one by one, slices, an object a sample. */
function readPacket(frame: Buffer, row: (values: readonly number[]) => void): void {
  const body: number[] = [];
  for (let at = 0; at < frame.length;) {
    const code = frame[at] ?? 0;
    for (let k = 1; k < code; k += 1) body.push(frame[at + k] ?? 0);
    at += code;
    if (code < 255 && at < frame.length) body.push(0);
  }
  const bytes = Buffer.from(body);
  if (bytes.length < 4 || crcOf(body.slice(0, -4)) !== bytes.readUInt32LE(bytes.length - 4)) return;
  if (bytes[0] !== 0x53) return;
  const nChannels = bytes[1] ?? 0;
  for (let i = 0; i < (bytes[3] ?? 0); i += 1) {
    const values: number[] = [];
    for (let c = 0; c < nChannels; c += 1)
      values.push(bytes.readInt16LE(18 + 2 * (i * nChannels + c)));
    row(values);
  }
}

/** Everything not yet used is concatenated with what comes. */
const naivePackets: Variant = (pieces) => {
  const tally = createTally();
  let rest: Buffer = Buffer.alloc(0);
  for (const piece of pieces) {
    rest = Buffer.concat([rest, piece]);
    for (let end = rest.indexOf(0); end >= 0; end = rest.indexOf(0)) {
      readPacket(rest.subarray(0, end), tally.row);
      rest = rest.subarray(end + 1);
    }
  }
  return Promise.resolve(tally.decoded());
};

function readLine(text: string, nColumns: number, row: (values: readonly number[]) => void): void {
  const values = text.split(',').map(parseFloat);
  if (values.length === nColumns && values.every(Number.isFinite)) row(values);
}

const naiveLines: Variant = (pieces, nColumns) => {
  const tally = createTally();
  let rest = '';
  for (const piece of pieces) {
    const parts = (rest + Buffer.from(piece).toString('ascii')).split('\n');
    rest = parts.pop() ?? '';
    for (const line of parts) readLine(line, nColumns, tally.row);
  }
  return Promise.resolve(tally.decoded());
};

const libraryPackets: Variant = async (pieces) => {
  const tally = createTally();
  const parser = new DelimiterParser({ delimiter: Uint8Array.of(0) as never });
  parser.on('data', (frame: Buffer) => readPacket(frame, tally.row));
  await writeAll(parser, pieces);
  return tally.decoded();
};

const libraryLines: Variant = async (pieces, nColumns) => {
  const tally = createTally();
  const parser = new ReadlineParser({ delimiter: '\n' });
  parser.on('data', (line: string) => readLine(line, nColumns, tally.row));
  await writeAll(parser, pieces);
  return tally.decoded();
};

function writeAll(parser: NodeJS.WritableStream, pieces: readonly Uint8Array[]): Promise<void> {
  for (const piece of pieces) parser.write(piece);
  return new Promise((resolve) => {
    parser.on('end', resolve);
    parser.end();
  });
}

/** The bytes read and copied once: what the memory costs. */
const copy: Variant = (pieces) => {
  const target = new Uint8Array(1 << 16);
  for (const piece of pieces) target.set(piece);
  return Promise.resolve({ frames: 0, checksum: 0 });
};

export const VARIANTS = {
  packets: { ours: ours('packets'), naive: naivePackets, library: libraryPackets, copy },
  packetsOfOne: { ours: ours('packets'), naive: naivePackets, library: libraryPackets, copy },
  lines: { ours: ours('lines'), naive: naiveLines, library: libraryLines, copy },
} as const satisfies Record<string, Record<string, Variant>>;

export type WireName = keyof typeof VARIANTS;
