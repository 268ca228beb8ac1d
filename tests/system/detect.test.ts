/**
 * Format and baud rate from streams captured at right and wrong rates: the bits of a true stream are
 * framed anew at every other rate. Right at the right rate, doubtful at every wrong one, many trials.
 */
import { describe, expect, test } from 'vitest';
import { BAUD_RATES, findBaud, type TunableLine } from '../../daemon/sources/detect.ts';
import { judge } from '../../shared/decode/detect.ts';
import type { DialectId } from '../../shared/decode/index.ts';
import { createLineEncoder, type LineEncoderOptions } from '../../shared/encode/lines.ts';
import { createPacketEncoder } from '../../shared/encode/packets.ts';
import { seeded } from '../support/random-stream.ts';
import { reframe, type FramingError } from '../support/uart.ts';
import { columnsOf, formatOf } from '../support/wire.ts';

const TRIALS = 20;
const FRAMING_ERRORS: readonly FramingError[] = ['dropped', 'kept', 'zero'];

/** A different device in every trial: channels, type, packet size, separator, time field. */
function piecesOf(dialect: DialectId, trial: number): Uint8Array[] {
  const random = seeded(trial);
  const pick = <T>(items: readonly [T, ...T[]]): T =>
    items[Math.floor(random() * items.length)] ?? items[0];
  const nChannels = pick([2, 3, 4, 8]);
  const first = Math.floor(random() * 1e6);
  if (dialect === 'packets') {
    const encoder = createPacketEncoder(formatOf(pick(['int16', 'int24', 'float32']), nChannels));
    const n = pick([5, 10, 20]);
    const packet = (k: number): Uint8Array =>
      encoder.samples(first + k * n, n, columnsOf(nChannels, first + k * n, n));
    return Array.from({ length: 12 }, (_, k) => packet(k));
  }
  const options: LineEncoderOptions = {
    time: pick(['time_us', 'time_ms', 'time_s', 'sample']),
    separator: pick([',', ';', '\t', ' ']),
    newline: pick(['\n', '\r\n']),
    decimals: pick([0, 1, 3]),
  };
  const encoder = createLineEncoder(formatOf('float64', nChannels), options);
  return Array.from({ length: 40 }, (_, k) =>
    encoder.samples(first + k, 1, columnsOf(nChannels, first + k, 1)),
  );
}

describe.each(['lines', 'packets'] as const)('%s', (dialect) => {
  test.each(BAUD_RATES)('sent at %d Bd is known there and nowhere else', (sentAt_Bd) => {
    for (let trial = 0; trial < TRIALS; trial += 1) {
      const pieces = piecesOf(dialect, trial);
      for (const readAt_Bd of BAUD_RATES) {
        for (const framingError of FRAMING_ERRORS) {
          const idleBits = (trial * 7) % 40;
          const heard = reframe(pieces, { sentAt_Bd, readAt_Bd, framingError, idleBits });
          const { verdict } = judge(heard.subarray(trial % 5));
          const wanted = readAt_Bd === sentAt_Bd ? dialect : 'doubtful';
          expect(verdict, `trial ${trial}, read at ${readAt_Bd}, ${framingError}`).toBe(wanted);
        }
      }
    }
  });

  test.each(BAUD_RATES)('listening in turn finds %d Bd', async (sentAt_Bd) => {
    const found = await findBaud(lineSending(piecesOf(dialect, 3), sentAt_Bd), neverAborted());
    expect(found.baud).toBe(sentAt_Bd);
    expect(judge(found.heard).verdict).toBe(dialect);
  });
});

describe('what is neither', () => {
  test('is doubtful: noise, zeros, text that is no data, another baud rate', () => {
    const random = seeded(5);
    const rubbish = [
      Uint8Array.from({ length: 4000 }, () => Math.floor(random() * 256)),
      new Uint8Array(4000),
      new Uint8Array(4000).fill(0x0a),
      new TextEncoder().encode('Booting... please wait\r\n'.repeat(50)),
      new TextEncoder().encode('{"torque": 1.5, "angle": 20}\n'.repeat(50)),
      new TextEncoder().encode('12,5\n3,4,5\n1\n7,8,9,10\n'.repeat(50)),
    ];
    expect(rubbish.map((bytes) => judge(bytes).verdict)).toEqual(rubbish.map(() => 'doubtful'));
  });

  test('is asked about with what was readable at each rate', async () => {
    const asked = findBaud(lineSending(piecesOf('lines', 1), 1_000_000), neverAborted());
    await expect(asked).rejects.toThrow(/^Which baud rate and format is it\?.* 921600: \d+ %/);
  });
});

/** A line on which a device keeps sending at its own rate. */
function lineSending(pieces: readonly Uint8Array[], sentAt_Bd: number): TunableLine {
  let readAt_Bd = 0;
  return {
    setBaud(baud) {
      readAt_Bd = baud;
      return Promise.resolve();
    },
    listen(take) {
      const settings = { sentAt_Bd, readAt_Bd, framingError: 'kept', idleBits: 20 } as const;
      const heard = reframe(pieces, settings);
      const timer = setInterval(() => take(heard), 10);
      return () => clearInterval(timer);
    },
  };
}

function neverAborted(): AbortSignal {
  return new AbortController().signal;
}
