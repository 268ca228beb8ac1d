/** The bytes every variant decodes: four channels of a 16-bit converter at 1 kHz. */
import { createLineEncoder } from '../../../shared/encode/lines.ts';
import { createPacketEncoder } from '../../../shared/encode/packets.ts';
import type { WireName } from './variants.ts';

export const FRAMES = 200_000;
const RATE_HZ = 1000;
const NAMES = ['torque', 'angle', 'velocity', 'emg'];
/** Volts a count of 16 bits over 20 V: lines carry volts with four decimals. */
const VOLTS = 20 / 2 ** 16;

/** Columns in a frame: lines have the time as well. */
export function columnsIn(wire: WireName): number {
  return NAMES.length + (wire === 'lines' ? 1 : 0);
}

export function streamOf(wire: WireName): Uint8Array {
  const type = wire === 'lines' ? 'float64' : 'int16';
  const channels = NAMES.map((name) => ({ name, unit: 'V', type }) as const);
  const format = { rate_Hz: RATE_HZ, channels, integrity: 'crc32', notes: {} } as const;
  const packet = createPacketEncoder(format);
  const line = createLineEncoder(format, { time: 'time_us', decimals: 4 });
  const encoder = wire === 'lines' ? line : packet;
  const n = wire === 'packetsOfOne' ? 1 : 20;
  const pieces: Uint8Array[] = [wire === 'lines' ? line.header() : packet.description()];
  for (let first = 0; first < FRAMES; first += n) {
    pieces.push(encoder.samples(first, n, columnsOf(first, n, wire === 'lines' ? VOLTS : 1)));
  }
  return Buffer.concat(pieces);
}

function columnsOf(first: number, n: number, scale: number): Float64Array[] {
  return NAMES.map((_, c) =>
    Float64Array.from({ length: n }, (__, i) => scale * signal(first + i, c)),
  );
}

function signal(i: number, c: number): number {
  return Math.round(20_000 * Math.sin(0.003 * i + c)) + ((i * 7 + c) % 11);
}
