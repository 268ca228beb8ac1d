/**
 * The binary dialect: COBS frames with CRC-32, each a description or a run of samples.
 * A frame that fails its check is never read; the next good one is, and the hole shows in its index.
 */
import type { StreamFormat } from '../block/block.ts';
import type { FaultCode } from '../faults.ts';
import { asciiText } from './ascii.ts';
import { BlockBuilder, blockSamplesOf } from './block-builder.ts';
import { CobsReader } from './cobs.ts';
import { noCounts } from './counts.ts';
import { crc32 } from './crc32.ts';
import { parseDescription } from './description.ts';
import type { Decoder, DecoderHints, DecoderSink, Dialect } from './index.ts';
import { PacketClock } from './packet-clock.ts';
import {
  CRC_BYTES,
  KIND_DESCRIPTION,
  KIND_SAMPLES,
  MAX_BODY_BYTES,
  SAMPLES_AT,
  SAMPLE_TYPES,
} from './packet-layout.ts';
import { readRows } from './packet-samples.ts';
import { createSplitter } from './split.ts';

/** A body and its COBS overhead of one byte in 254. */
const MAX_FRAME_BYTES = MAX_BODY_BYTES + Math.ceil(MAX_BODY_BYTES / 254) + 1;
const DELIMITER = 0;

export const packets = {
  id: 'packets',
  about: 'binary packets with checksum, sequence, device clock and self-description',
  create: (hints: DecoderHints, sink: DecoderSink): Decoder => new PacketDecoder(hints, sink),
} as const satisfies Dialect;

class PacketDecoder implements Decoder {
  readonly counts = noCounts();
  readonly push: (bytes: Uint8Array) => void;
  readonly #hints: DecoderHints;
  readonly #sink: DecoderSink;
  readonly #builder: BlockBuilder;
  readonly #clock = new PacketClock();
  readonly #cobs = new CobsReader(MAX_BODY_BYTES);
  readonly #body = this.#cobs.body;
  readonly #view = new DataView(this.#body.buffer);
  #format: StreamFormat | null = null;
  /** CRC-32 of the description in force. */
  #identity = -1;
  #run = -1;
  /** Bytes before the first delimiter may be the rest of a frame that began before we listened. */
  #isJoined = false;

  constructor(hints: DecoderHints, sink: DecoderSink) {
    this.#hints = hints;
    this.#sink = sink;
    this.#builder = new BlockBuilder((block) => sink.block(block));
    this.push = createSplitter(DELIMITER, MAX_FRAME_BYTES, {
      quick: (bytes, first) => this.#readSoundFrames(bytes, first),
      frame: (bytes, first, end) => {
        if (end > first) this.#readFrame(bytes, first, end);
        this.#isJoined = true;
      },
      tooLong: () => this.#leaveOut(0, 'frameDamaged', 'it is longer than a packet can be'),
      skip: (nBytes) => (this.counts.unreadBytes += nBytes),
    });
  }

  flush(): void {
    this.#builder.flush();
  }

  #readFrame(bytes: Uint8Array, first: number, end: number): void {
    const nBytes = end - first;
    if (!this.#cobs.read(bytes, first)) {
      return this.#leaveOut(nBytes, 'frameDamaged', 'its stuffing is broken');
    }
    if (!this.#isSound()) return this.#leaveOut(nBytes, 'frameDamaged', 'its CRC-32 does not fit');
    this.#readBody(nBytes);
  }

  /** Frame after frame in one pass; the first that is damaged or cut is left where it is. */
  #readSoundFrames(bytes: Uint8Array, first: number): number {
    const cobs = this.#cobs;
    let at = first;
    while (at < bytes.length && cobs.read(bytes, at) && this.#isSound()) {
      this.#readBody(cobs.end - at);
      at = cobs.end + 1;
    }
    return at;
  }

  #isSound(): boolean {
    const n = this.#cobs.n - CRC_BYTES;
    return n > 0 && crc32(this.#body, 0, n) === this.#view.getUint32(n, true);
  }

  /** Of a frame of so many bytes whose check fits. */
  #readBody(nBytes: number): void {
    const { n, body } = this.#cobs;
    const crc = this.#view.getUint32(n - CRC_BYTES, true);
    this.#isJoined = true;
    if (body[0] === KIND_SAMPLES) return this.#readSamples(n, nBytes, crc);
    if (body[0] === KIND_DESCRIPTION) return this.#readDescription(n, nBytes, crc);
    this.#leaveOut(nBytes, 'frameUnknown', `packet of kind ${body[0]}`);
  }

  #readDescription(n: number, nBytes: number, crc: number): void {
    if (crc !== this.#identity) {
      const parsed = parseDescription(asciiText(this.#body, 1, n - CRC_BYTES));
      if (typeof parsed === 'string') return this.#leaveOut(nBytes, 'headerContradiction', parsed);
      this.#identity = crc;
      this.#change(parsed.format, parsed.tick_Hz);
    }
    this.counts.frames += 1;
  }

  #change(format: StreamFormat, tick_Hz: number): void {
    const before = this.#format;
    this.#format = format;
    const { rate_Hz, channels } = format;
    const isSameRate = before?.rate_Hz === rate_Hz;
    if (before !== null && !isSameRate) {
      this.#sink.fault('rateChanged', `from ${before.rate_Hz} to ${rate_Hz} Hz`, 1);
    }
    if (before !== null && JSON.stringify(before.channels) !== JSON.stringify(channels)) {
      this.#sink.fault('channelsChanged', channels.map(({ name }) => name).join(' '), 1);
    }
    if (isSameRate) return this.#begin(format);
    this.#clock.begin(rate_Hz, tick_Hz);
    this.#beginRun(format);
  }

  #beginRun(format: StreamFormat): void {
    this.#run += 1;
    this.#begin(format);
  }

  #begin(format: StreamFormat): void {
    const capacity = blockSamplesOf(format.rate_Hz, this.#hints.blockSamples);
    this.#builder.begin(format, this.#run, capacity);
  }

  #readSamples(n: number, nBytes: number, crc: number): void {
    const view = this.#view;
    const format = this.#format;
    if (
      n < SAMPLES_AT + CRC_BYTES ||
      format === null ||
      view.getUint32(4, true) !== this.#identity
    ) {
      return this.#leaveOut(nBytes, 'frameUnknown', 'samples whose description did not come yet');
    }
    const lie = this.#contradiction(n, format);
    if (lie !== '') return this.#leaveOut(nBytes, 'headerContradiction', lie);
    this.counts.frames += 1;
    const nSamples = this.#body[3];
    const place = this.#clock.place({
      sequence: view.getUint16(16, true),
      first: view.getUint32(8, true),
      ticks: view.getUint32(12, true),
      n: nSamples,
      crc,
    });
    if (place === 'duplicate') {
      this.counts.duplicateSamples += nSamples;
      return this.#sink.fault('samplesDuplicate', `${nSamples} samples`, 1);
    }
    if (place === 'restart') {
      this.#beginRun(format);
      this.#sink.fault('clockRestarted', `its index is ${this.#clock.first}`, 1);
    }
    this.#reportClock(format);
    this.#addSamples(nSamples, format);
  }

  /** What the packet says against its description and its own length; empty when they agree. */
  #contradiction(n: number, { channels }: StreamFormat): string {
    const body = this.#body;
    const { type } = channels[0];
    const { code, bytes } = SAMPLE_TYPES[type];
    if (body[1] !== channels.length) return `${body[1]} channels, announced ${channels.length}`;
    if (body[2] !== code) return `samples of type ${body[2]}, announced ${type}`;
    const length = SAMPLES_AT + body[3] * channels.length * bytes + CRC_BYTES;
    return body[3] === 0 || n !== length ? `${n} bytes where ${length} belong` : '';
  }

  #reportClock({ rate_Hz }: StreamFormat): void {
    const { lostSamples, lostPackets, contradiction_Hz } = this.#clock;
    if (lostSamples > 0) {
      // What came before the hole is given before it is told.
      this.#builder.flush();
      this.counts.lostSamples += lostSamples;
      this.#sink.fault('samplesLost', `${lostSamples} samples, ${lostPackets} packets`, 1);
    }
    if (contradiction_Hz > 0) {
      const ticked_Hz = contradiction_Hz.toPrecision(4);
      this.#sink.fault('rateOff', `announced ${rate_Hz} Hz, its ticks say ${ticked_Hz} Hz`, 1);
    }
  }

  #addSamples(nSamples: number, { channels }: StreamFormat): void {
    const builder = this.#builder;
    const { type } = channels[0];
    const rowBytes = channels.length * SAMPLE_TYPES[type].bytes;
    let nNotANumber = 0;
    let done = 0;
    while (done < nSamples) {
      const n = Math.min(nSamples - done, builder.room(this.#clock.first + done));
      const rows = { type, at: SAMPLES_AT + done * rowBytes, n };
      nNotANumber += readRows(this.#view, rows, builder.columns, builder.at);
      builder.add(n);
      done += n;
    }
    this.counts.samples += nSamples;
    if (nNotANumber > 0) this.#sink.fault('notANumber', '', nNotANumber);
  }

  #leaveOut(nBytes: number, code: FaultCode, detail: string): void {
    this.counts.unreadBytes += nBytes;
    if (!this.#isJoined) return;
    if (code !== 'frameUnknown') this.counts.damagedFrames += 1;
    this.#sink.fault(code, detail, 1);
  }
}
