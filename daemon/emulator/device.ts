/**
 * The simulated device: samples of the simulation as frames of a wire format, in pieces of at most
 * 20 ms. It counts as a device does: from 0 at every restart. It neither paces nor misbehaves.
 */
import type { StreamFormat } from '../../shared/block/block.ts';
import { createLineEncoder } from '../../shared/encode/lines.ts';
import { createPacketEncoder } from '../../shared/encode/packets.ts';
import { createSimulation, type SimulatedSamples } from '../../shared/simulation/index.ts';
import type { Wiring } from '../../shared/wiring/schema.ts';
import type { DeviceSettings, WireFormat } from './settings.ts';

/** A piece of the stream: its frames in order, and the samples that are in them. */
export interface Piece {
  /** What was simulated, at the device's full rate, with its truth. */
  readonly simulated: SimulatedSamples;
  /** Samples a channel that are in the frames. */
  readonly n: number;
  readonly frames: readonly Uint8Array[];
}

export interface Device {
  readonly format: StreamFormat;
  readonly wiring: Wiring;
  readonly pieceSamples: number;
  /** True once a script that is played once has ended. */
  readonly isOver: boolean;
  /** What a receiver needs before the first frame; may be sent at any time. */
  announcement(): Uint8Array;
  next(): Piece;
  /** The device's counter starts again from 0. */
  restart(): void;
  /** From here on only every k-th sample, or only the first channels; it counts from 0 again. */
  reconfigure(change: { readonly every?: number; readonly nChannels?: number }): void;
}

export interface DeviceOptions extends DeviceSettings {
  readonly repeat: boolean;
  /** Longest piece in seconds; at most and by default 20 ms. */
  readonly piece_s?: number;
}

const MOST_PIECE_S = 0.02;

export function createDevice(options: DeviceOptions): Device {
  const simulation = createSimulation(options);
  const piece_s = Math.min(MOST_PIECE_S, options.piece_s ?? MOST_PIECE_S);
  const pieceSamples = Math.max(1, Math.round(options.rate_Hz * piece_s));
  let every = 1;
  let channels = simulation.format.channels;
  let encoder = createEncoder(options.format, simulation.format);
  let made = 0;
  let sent = 0;
  return {
    format: simulation.format,
    wiring: simulation.wiring,
    pieceSamples,
    get isOver() {
      return simulation.isOver;
    },
    announcement: () => encoder.announcement(),
    next() {
      const simulated = simulation.next(pieceSamples);
      const offset = (every - (made % every)) % every;
      const columns = simulated.columns
        .slice(0, channels.length)
        .map((column) => (every === 1 ? column : thin(column, offset, every)));
      const n = columns[0]?.length ?? 0;
      const frames = encoder.frames(sent, n, columns);
      made += pieceSamples;
      sent += n;
      return { simulated, n, frames };
    },
    restart() {
      sent = 0;
    },
    reconfigure(change) {
      every = change.every ?? every;
      channels = channels.slice(0, change.nChannels);
      const rate_Hz = simulation.format.rate_Hz / every;
      encoder = createEncoder(options.format, { ...simulation.format, rate_Hz, channels });
      sent = 0;
    },
  };
}

interface FrameEncoder {
  announcement(): Uint8Array;
  frames(first: number, n: number, columns: readonly Float64Array[]): readonly Uint8Array[];
}

/** A packet holds a piece; a line holds one sample. */
function createEncoder(wireFormat: WireFormat, format: StreamFormat): FrameEncoder {
  if (wireFormat === 'packets') {
    const encoder = createPacketEncoder(format);
    return {
      announcement: () => encoder.description(),
      frames: (first, n, columns) => (n === 0 ? [] : [encoder.samples(first, n, columns)]),
    };
  }
  const encoder = createLineEncoder(format, { time: 'sample' });
  return {
    announcement: () => encoder.header(),
    frames: (first, n, columns) =>
      Array.from({ length: n }, (_, i) =>
        encoder.samples(
          first + i,
          1,
          columns.map((column) => column.subarray(i, i + 1)),
        ),
      ),
  };
}

function thin(column: Float64Array, offset: number, every: number): Float64Array {
  const kept = new Float64Array(Math.max(0, Math.ceil((column.length - offset) / every)));
  for (let i = 0; i < kept.length; i++) kept[i] = column[offset + i * every] ?? NaN;
  return kept;
}
