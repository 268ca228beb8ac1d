/** Whatever a device sends comes back from the blocks of a recording bit for bit, however it was cut. */
import fc from 'fast-check';
import { crc32 } from 'node:zlib';
import { expect, test } from 'vitest';
import type { SampleType, StreamBlock, StreamFormat } from '../../shared/block/block.ts';
import { stampPlace, troubleOf, unpackBlock } from '../../shared/record/block-codec.ts';
import { decodeHeader, encodeHeader } from '../../shared/record/file-header.ts';
import { RecorderIntake } from '../../daemon/sinks/recorder-intake.ts';
import type { StoredBlock } from '../../daemon/sinks/stream-log.ts';
import { TEST_CLOCK } from '../support/recordings.ts';

const TYPES = ['int16', 'int24', 'float32', 'float64'] as const;

const value: Readonly<Record<SampleType, fc.Arbitrary<number>>> = {
  int16: fc.integer({ min: -32768, max: 32767 }),
  int24: fc.integer({ min: -8388608, max: 8388607 }),
  float32: fc.float({ noNaN: false }),
  float64: fc.double({ noNaN: false }),
};

/** Now and then a number that the device's type cannot hold. */
const odd = fc.constantFrom(Number.NaN, -0, Infinity, 1e300, 0.1, 2 ** 24);

interface Piece {
  readonly hole: number;
  readonly restarts: boolean;
  readonly rows: readonly (readonly number[])[];
}

const stream = fc
  .record({
    rate_Hz: fc.constantFrom(50, 333, 1000, 5000),
    types: fc.array(fc.constantFrom(...TYPES), { minLength: 1, maxLength: 4 }),
    first: fc.constantFrom(0, 7, 2 ** 32 - 50, 2 ** 40),
  })
  .chain(({ rate_Hz, types, first }) => {
    const cell = (type: SampleType) =>
      fc.oneof({ weight: 500, arbitrary: value[type] }, { weight: 1, arbitrary: odd });
    const piece: fc.Arbitrary<Piece> = fc.record({
      hole: fc.oneof({ weight: 3, arbitrary: fc.constant(0) }, fc.integer({ min: 1, max: 400 })),
      restarts: fc.constantFrom(false, false, false, false, true),
      rows: fc.array(fc.tuple(...types.map(cell)), { minLength: 1, maxLength: 60 }),
    });
    return fc.record({
      rate_Hz: fc.constant(rate_Hz),
      types: fc.constant(types),
      first: fc.constant(first),
      pieces: fc.array(piece, { minLength: 1, maxLength: 20 }),
    });
  });

interface Stream {
  readonly rate_Hz: number;
  readonly types: readonly SampleType[];
  readonly first: number;
  readonly pieces: readonly Piece[];
}

function blocksOf({ rate_Hz, types, first, pieces }: Stream): StreamBlock[] {
  const channels = types.map((type, c) => ({ name: `ai${c}`, unit: 'V', type }));
  const format: StreamFormat = { rate_Hz, channels, integrity: 'crc32', notes: {} };
  let index = first;
  let run = 0;
  let deviceFirst = -7;
  return pieces.map(({ hole, restarts, rows }) => {
    index += hole;
    deviceFirst = restarts ? 0 : deviceFirst + hole;
    run += restarts ? 1 : 0;
    const columns = types.map((_, c) => Float64Array.from(rows, (row) => row[c] ?? 0));
    const n = rows.length;
    const block = { format, run, first: deviceFirst, n, columns, index, arrival_ns: index + n };
    index += n;
    deviceFirst += n;
    return block;
  });
}

/** One text a sample: equal texts are equal bits, but for the payload of a NaN. */
function samplesOf(blocks: readonly StreamBlock[]): string[] {
  return blocks.flatMap(({ columns, n, index, first, run }) =>
    Array.from({ length: n }, (_, i) => {
      const values = columns.map((column) => (Object.is(column[i], -0) ? '-0' : column[i]));
      return `${index + i} ${first + i} ${run} ${values.join(' ')}`;
    }),
  );
}

function recorded(blocks: readonly StreamBlock[]): StreamBlock[] {
  const stored: StoredBlock[] = [];
  const intake = new RecorderIntake(TEST_CLOCK, {
    block: (block) => stored.push(block),
    event: () => undefined,
  });
  for (const block of blocks) intake.add(block);
  intake.end();
  return stored.flatMap(({ kind, packed }, sequence) => {
    const place = { nonce: 9, sequence };
    stampPlace(packed.bytes, place, crc32);
    const head = encodeHeader({ recording: 'a', segment: 0, nonce: 9, ...kind }, crc32);
    const header = decodeHeader(head, crc32);
    if ('trouble' in header) throw new Error(header.trouble);
    expect(troubleOf(packed.bytes, header.value.layout, place, crc32)).toBeNull();
    const { layout, format } = header.value;
    expect(format).toEqual(kind.format);
    return unpackBlock(packed.bytes, packed.head, layout, format);
  });
}

test('every sample, hole and restart comes back', () => {
  fc.assert(
    fc.property(stream, (given) => {
      const blocks = blocksOf(given);
      expect(samplesOf(recorded(blocks))).toEqual(samplesOf(blocks));
    }),
    { numRuns: 300 },
  );
});

test('the head of a file carries any names, units, scales and notes', () => {
  const text = fc.string({ unit: 'binary', maxLength: 40 });
  const finite = fc.double({ noNaN: true, noDefaultInfinity: true }).map((value) => value + 0);
  const channel = fc.record(
    {
      name: text,
      unit: text,
      type: fc.constantFrom(...TYPES),
      scale: fc.record({ unit: text, slope: finite, offset: finite }),
      rawMin: fc.integer(),
    },
    { requiredKeys: ['name', 'unit', 'type', 'rawMin'] },
  );
  const format = fc.record({
    rate_Hz: fc.double({ min: 1, max: 20_000, noNaN: true }),
    channels: fc.array(channel, { minLength: 1, maxLength: 16 }),
    integrity: fc.constantFrom('crc32' as const, 'text' as const),
    // A key that would name a prototype is never taken from JSON; a device's notes begin with a letter.
    notes: fc.dictionary(
      text.filter((key) => key !== '__proto__'),
      text,
      { noNullPrototype: true },
    ),
  });
  fc.assert(
    fc.property(format, (given) => {
      const block: StreamBlock = {
        format: given,
        run: 0,
        first: 0,
        n: 1,
        columns: given.channels.map(() => new Float64Array(1)),
        index: 0,
        arrival_ns: 0,
      };
      expect(recorded([block])).toHaveLength(1);
    }),
    { numRuns: 20 },
  );
});
