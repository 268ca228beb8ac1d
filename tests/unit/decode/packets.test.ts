/** What packets do beyond the plain way: wraps, holes, repeats, restarts, changes, lies. */
import { describe, expect, test } from 'vitest';
import type { StreamFormat } from '../../../shared/block/block.ts';
import { cobsEncode } from '../../../shared/decode/cobs.ts';
import { crc32 } from '../../../shared/decode/crc32.ts';
import { createPacketEncoder } from '../../../shared/encode/packets.ts';
import { columnsOf, formatOf, hear, join } from '../../support/wire.ts';

const format = formatOf('int16', 2);

function packetsOf(firsts: readonly number[], n = 10, of: StreamFormat = format): Uint8Array[] {
  const encoder = createPacketEncoder(of);
  return [
    encoder.description(),
    ...firsts.map((first) => encoder.samples(first, n, columnsOf(of.channels.length, first, n))),
  ];
}

/** A sealed frame of any body. */
function frameOf(body: readonly number[]): Uint8Array {
  const crc = crc32(Uint8Array.from(body), 0, body.length);
  const tail = [crc, crc >>> 8, crc >>> 16, crc >>> 24].map((byte) => byte & 255);
  return join([cobsEncode(Uint8Array.from([...body, ...tail])), Uint8Array.of(0)]);
}

function describing(text: string): Uint8Array {
  return frameOf([0x44, ...new TextEncoder().encode(text)]);
}

const indices = (rows: readonly (readonly number[])[]): (number | undefined)[] =>
  rows.map((row) => row[1]);

describe('packets', () => {
  test('index, ticks and packet number come round without a seam', () => {
    const encoder = createPacketEncoder(format, { sequence: 65_534, tick_Hz: 1000 });
    const start = 2 ** 32 - 25;
    const firsts = [0, 10, 20, 30, 40].map((k) => start + k);
    const pieces = firsts.map((first) => encoder.samples(first, 10, columnsOf(2, first, 10)));
    const heard = hear('packets', [encoder.description(), ...pieces]);
    expect(indices(heard.rows)).toEqual(Array.from({ length: 50 }, (_, i) => start + i));
    expect(heard.faults).toEqual([]);
    expect(new Set(heard.blocks.map((block) => block.run))).toEqual(new Set([0]));
  });

  test('a hole is a jump of the index, told with its length', () => {
    const pieces = packetsOf([0, 10, 20, 30, 40]);
    const heard = hear(
      'packets',
      pieces.filter((_, k) => k !== 3 && k !== 4),
    );
    expect(indices(heard.rows)).toEqual([
      ...Array(20).keys(),
      ...[...Array(10).keys()].map((i) => 40 + i),
    ]);
    expect(heard.counts.lostSamples).toBe(20);
    expect(heard.faults).toEqual([['samplesLost', '20 samples, 2 packets', 1]]);
  });

  test('samples the device itself left out are told from packets lost on the way', () => {
    const heard = hear('packets', packetsOf([0, 10, 35]));
    expect(heard.faults).toEqual([['samplesLost', '15 samples, 0 packets', 1]]);
  });

  test('a packet that comes twice is counted and left out', () => {
    const pieces = packetsOf([0, 10, 20, 30]);
    const twice = pieces.flatMap((piece, k) => (k === 2 ? [piece, piece] : [piece]));
    const late = [...twice, pieces[1] ?? expect.fail()];
    const heard = hear('packets', late);
    expect(indices(heard.rows)).toEqual([...Array(40).keys()]);
    expect(heard.counts.duplicateSamples).toBe(20);
    expect(heard.faults.map(([code]) => code)).toEqual(['samplesDuplicate', 'samplesDuplicate']);
  });

  test('an index that jumps back begins a new run, and nothing is taken for a repeat', () => {
    const before = packetsOf([1000, 1010, 1020]);
    const after = packetsOf([0, 10, 1020, 1030]);
    const heard = hear('packets', [...before, ...after.slice(0, 3)]);
    expect(heard.rows.map((row) => row[0])).toEqual([
      ...Array<number>(30).fill(0),
      ...Array<number>(20).fill(1),
    ]);
    expect(indices(heard.rows).slice(30)).toEqual([...Array(20).keys()]);
    expect(heard.faults).toEqual([['clockRestarted', 'its index is 0', 1]]);
    expect(heard.counts.duplicateSamples).toBe(0);
  });

  test('a restart that looks like a jump of weeks is a restart', () => {
    const before = createPacketEncoder(format);
    const after = createPacketEncoder(format);
    // The device restarted at index 0 after 2.2e9 samples: modulo 2^32 that looks like a jump ahead.
    const first = 2_200_000_000;
    const heard = hear('packets', [
      before.description(),
      before.samples(first, 10, columnsOf(2, first, 10)),
      after.samples(0, 10, columnsOf(2, 0, 10)),
    ]);
    expect(heard.rows.at(-1)?.slice(0, 2)).toEqual([1, 9]);
    expect(heard.counts.lostSamples).toBe(0);
  });

  test('a jump forward that the ticks contradict is a restart', () => {
    const before = createPacketEncoder(format);
    const after = createPacketEncoder({ ...format, rate_Hz: 100_000 });
    const heard = hear('packets', [
      before.description(),
      before.samples(0, 10, columnsOf(2, 0, 10)),
      withIdentity(after.samples(5000, 10, columnsOf(2, 5000, 10)), before.description()),
    ]);
    expect(heard.faults).toEqual([['clockRestarted', 'its index is 5000', 1]]);
    expect(heard.counts.lostSamples).toBe(0);
  });

  test('a changed rate is a new format, a new run and a fault', () => {
    const fast = { ...format, rate_Hz: 2000 };
    const heard = hear('packets', [...packetsOf([0, 10]), ...packetsOf([20, 30], 10, fast)]);
    expect(heard.faults).toEqual([['rateChanged', 'from 1000 to 2000 Hz', 1]]);
    expect(heard.blocks.map((block) => [block.format.rate_Hz, block.run])).toEqual([
      [1000, 0],
      [2000, 1],
    ]);
  });

  test('changed channels are a new format that goes on counting', () => {
    const wider = formatOf('int16', 3);
    const heard = hear('packets', [...packetsOf([0, 10]), ...packetsOf([20, 30], 10, wider)]);
    expect(heard.faults).toEqual([['channelsChanged', 'ai0 ai1 ai2', 1]]);
    expect(heard.blocks.map((block) => [block.columns.length, block.run, block.first])).toEqual([
      [2, 0, 0],
      [3, 0, 20],
    ]);
  });

  test('ticks that contradict the announced rate are told', () => {
    const truth = createPacketEncoder({ ...format, rate_Hz: 500 });
    const liar = createPacketEncoder(format);
    const pieces = Array.from({ length: 150 }, (_, k) => {
      const bytes = truth.samples(10 * k, 10, columnsOf(2, 10 * k, 10));
      return withIdentity(bytes, liar.description());
    });
    const heard = hear('packets', [liar.description(), ...pieces]);
    expect(heard.faults).toEqual([['rateOff', 'announced 1000 Hz, its ticks say 500.0 Hz', 1]]);
    expect(heard.rows).toHaveLength(1500);
  });

  test('a packet that contradicts its description is left out', () => {
    const wide = createPacketEncoder(formatOf('int16', 3));
    const wrong = withIdentity(
      wide.samples(0, 10, columnsOf(3, 0, 10)),
      createPacketEncoder(format).description(),
    );
    const heard = hear('packets', [...packetsOf([0]), wrong]);
    expect(heard.faults).toEqual([['headerContradiction', '3 channels, announced 2', 1]]);
    expect(heard.rows).toHaveLength(10);
  });

  test('samples before their description wait for nothing and are told', () => {
    const [description = expect.fail(), first = expect.fail(), second = expect.fail()] = packetsOf([
      0, 10,
    ]);
    const heard = hear('packets', [first, description, second]);
    expect(heard.faults).toEqual([
      ['frameUnknown', 'samples whose description did not come yet', 1],
    ]);
    expect(indices(heard.rows)).toEqual([...Array(10).keys()].map((i) => 10 + i));
  });

  test('no number in a float is missing, never zero', () => {
    const floats = formatOf('float32', 2);
    const encoder = createPacketEncoder(floats);
    const columns = [
      [1, Number.NaN, 3],
      [Infinity, -Infinity, 0.5],
    ];
    const heard = hear('packets', [encoder.description(), encoder.samples(0, 3, columns)]);
    expect(heard.rows).toEqual([
      [0, 0, 1, Number.NaN],
      [0, 1, Number.NaN, Number.NaN],
      [0, 2, 3, 0.5],
    ]);
    expect(heard.faults).toEqual([['notANumber', '', 3]]);
  });

  test.each([
    ['{', 'the description is not JSON'],
    ['[]', 'the description is not a JSON object'],
    ['{"rate_Hz":0}', 'rate_Hz is not a sample rate'],
    ['{"rate_Hz":1000,"tick_Hz":"fast"}', 'tick_Hz is not a clock rate'],
    [
      '{"rate_Hz":1000,"tick_Hz":1000,"type":"int12"}',
      'type is none of int16, int24, float32, float64',
    ],
    [
      '{"rate_Hz":1000,"tick_Hz":1000,"type":"int16","channels":[]}',
      'channels is not a list of 1 to 16',
    ],
    ['{"rate_Hz":1000,"tick_Hz":1000,"type":"int16","channels":[{}]}', 'a channel has no name'],
    [
      '{"rate_Hz":1000,"tick_Hz":1000,"type":"int16","channels":[{"name":"a"},{"name":"a"}]}',
      'a comes twice',
    ],
    [
      '{"rate_Hz":1000,"tick_Hz":1000,"type":"int16","channels":[{"name":"a","slope":"1"}]}',
      'slope of a is not a number',
    ],
  ])('a description that cannot be used is told: %s', (text, detail) => {
    expect(hear('packets', [describing(text)]).faults).toEqual([
      ['headerContradiction', detail, 1],
    ]);
  });

  test('a description carries scale, ends and notes', () => {
    const text =
      '{"rate_Hz":500,"tick_Hz":1000,"type":"int24","x":1,"notes":{"firmware":"1.2","__proto__":3},' +
      '"channels":[{"name":"torque","unit":"Nm","slope":0.5,"offset":-1,"max":100}]}';
    const body = [
      0x53,
      1,
      2,
      1,
      ...identityOf(describing(text)),
      ...Array<number>(10).fill(0),
      0x00,
      0x00,
      0x80,
    ];
    const [block] = hear('packets', [describing(text), frameOf(body)]).blocks;
    expect(block?.format.channels).toEqual([
      {
        name: 'torque',
        unit: 'counts',
        type: 'int24',
        scale: { unit: 'Nm', slope: 0.5, offset: -1 },
        rawMin: -8388608,
        rawMax: 100,
      },
    ]);
    expect(block?.format.notes).toEqual({ firmware: '1.2', ['__proto__']: '3' });
    expect(block?.columns[0]?.[0]).toBe(-8388608);
  });

  test('a sound packet of another kind is told and left out', () => {
    const heard = hear('packets', [...packetsOf([0]), frameOf([0x7a, 1, 2, 3])]);
    expect(heard.faults).toEqual([['frameUnknown', 'packet of kind 122', 1]]);
  });
});

/** CRC-32 of a description frame: the four bytes before its delimiter, unstuffed. */
function identityOf(description: Uint8Array): number[] {
  const plain = [...unstuffed(description)];
  return plain.slice(-4);
}

function unstuffed(frame: Uint8Array): Uint8Array {
  const out: number[] = [];
  for (let at = 0; at < frame.length - 1;) {
    const code = frame[at] ?? 0;
    out.push(...frame.subarray(at + 1, at + code));
    at += code;
    if (code < 255 && at < frame.length - 1) out.push(0);
  }
  return Uint8Array.from(out);
}

/** The same samples packet with the identity of another description, sealed again. */
function withIdentity(packet: Uint8Array, description: Uint8Array): Uint8Array {
  const body = [...unstuffed(packet)].slice(0, -4);
  body.splice(4, 4, ...identityOf(description));
  return frameOf(body);
}
