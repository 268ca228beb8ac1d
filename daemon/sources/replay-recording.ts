/** The samples of a recording as packets of float64: every type of a device fits, bit for bit. */
import type { StreamBlock, StreamFormat } from '../../shared/block/block.ts';
import { createPacketEncoder, type PacketEncoder } from '../../shared/encode/packets.ts';
import { MAX_CHANNELS, MAX_PACKET_SAMPLES } from '../../shared/decode/packet-layout.ts';
import { readSamples } from '../store/read-blocks.ts';
import { recordingClock } from '../store/recording-clock.ts';
import { firstIndexOf, type Recording } from '../store/recording.ts';
import type { Piece } from './replay.ts';

/** As a device would send them: 50 packets a second. */
const PACKET_S = 0.02;
/** A receiver that starts in the middle learns the format within this time. */
const ANNOUNCE_EVERY_S = 1;

/** Throws one plain sentence when packets cannot hold the recording, or it holds no samples. */
export function* recordingPieces(recording: Recording): Generator<Piece, void, undefined> {
  const clock = recordingClock(recording);
  const origin = firstIndexOf(recording) ?? 0;
  let format: StreamFormat | null = null;
  let encoder: PacketEncoder | null = null;
  let announceAt_s = 0;
  for (const block of readSamples(recording.files)) {
    if (encoder === null || block.format !== format) {
      format = block.format;
      encoder = createPacketEncoder(asFloat64(format));
      announceAt_s = 0;
    }
    const begin_s = clock(block.index);
    if (begin_s >= announceAt_s) {
      yield { due_s: begin_s, bytes: encoder.description() };
      announceAt_s = begin_s + ANNOUNCE_EVERY_S;
    }
    const step = Math.min(Math.max(Math.round(format.rate_Hz * PACKET_S), 1), MAX_PACKET_SAMPLES);
    for (let from = 0; from < block.n; from += step) {
      const n = Math.min(step, block.n - from);
      const first = block.index + from - origin;
      const columns = block.columns.map((column) => column.subarray(from, from + n));
      yield {
        due_s: clock(block.index + from + n),
        bytes: encoder.samples(first, n, columns),
      };
    }
  }
  if (format === null) throw new Error(`Recording ${recording.id} holds no samples.`);
}

function asFloat64({ channels, ...format }: StreamBlock['format']): StreamFormat {
  if (channels.length > MAX_CHANNELS) {
    throw new Error(`A recording of ${channels.length} channels cannot be replayed; 16 can.`);
  }
  return { ...format, channels: channels.map((channel) => ({ ...channel, type: 'float64' })) };
}
