/**
 * Stream blocks on their way into the recording: packed, no more than an eighth of a second held back,
 * in a new file when the device changes its format, with a mark where samples are missing.
 */
import { crc32 } from 'node:zlib';
import type { SampleType, StreamBlock } from '../../shared/block/block.ts';
import { blockLayout, bytesPerSecond } from '../../shared/record/layout.ts';
import {
  createPacker,
  isSameFormat,
  storedTypes,
  type Packer,
} from '../../shared/record/packer.ts';
import type { RecorderDisk } from './recorder-disk.ts';
import type { RecorderClock } from './recorder.ts';
import type { StreamKind } from './stream-log.ts';

/** A block that is not full by then is written short: a crash costs at most this much. */
const HOLD_MS = 125;
/** Holes may come a hundred a second; they are marked together, the blocks know each. */
const MARK_EVERY_MS = 1000;
/** Ties sample index, monotonic clock and wall clock, so that a step of the wall clock can be seen. */
const ANCHOR_EVERY_MS = 60_000;

/** What the intake needs of the disk. */
export type IntakeTarget = Pick<RecorderDisk, 'block' | 'event'>;

export class RecorderIntake {
  readonly #clock: RecorderClock;
  readonly #disk: IntakeTarget;
  readonly #marks: NodeJS.Timeout;
  readonly #anchors: NodeJS.Timeout;
  #current: Current | null = null;
  #nextIndex: number | null = null;
  #holes: Holes | null = null;
  #hold: NodeJS.Timeout | null = null;

  constructor(clock: RecorderClock, disk: IntakeTarget) {
    this.#clock = clock;
    this.#disk = disk;
    this.#marks = setInterval(() => this.#mark(), MARK_EVERY_MS);
    this.#anchors = setInterval(() => this.#anchor(), ANCHOR_EVERY_MS);
  }

  add(block: StreamBlock): void {
    if (block.n === 0) return;
    const current = this.#currentFor(block);
    this.#noteHole(block);
    this.#noteNotes(current, block);
    current.packer.add(block);
    if (!current.packer.isEmpty) this.#hold ??= setTimeout(() => this.#flush(), HOLD_MS);
  }

  end(): void {
    this.#flush();
    this.#mark();
    this.#anchor();
    clearInterval(this.#marks);
    clearInterval(this.#anchors);
  }

  /** One past the last sample received; -1 before the first. */
  get nextIndex(): number {
    return this.#nextIndex ?? -1;
  }

  /** What the present format takes on the disk, bytes a second; null before the first block. */
  get rate_Bps(): number | null {
    const kind = this.#current?.kind;
    return kind === undefined ? null : bytesPerSecond(kind.layout, kind.format.rate_Hz);
  }

  #currentFor(block: StreamBlock): Current {
    const current = this.#current;
    const isSame = current !== null && isSameFormat(current.kind.format, block.format);
    const types = isSame ? current.types : block.format.channels.map((channel) => channel.type);
    const stored = storedTypes(block, types);
    return isSame && stored === types ? current : this.#begin(block, stored);
  }

  #begin(block: StreamBlock, types: readonly SampleType[]): Current {
    this.#current?.packer.flush();
    const kind: StreamKind = { format: block.format, layout: blockLayout(block.format, types) };
    const packer = createPacker(kind.layout, crc32, (packed) => {
      this.#endHold();
      this.#disk.block({ kind, packed, packed_ns: this.#clock.monotonic_ns() });
    });
    const notes = JSON.stringify(block.format.notes);
    this.#current = { kind, types, packer, notes };
    return this.#current;
  }

  #noteHole(block: StreamBlock): void {
    if (this.#nextIndex !== null && block.index !== this.#nextIndex) {
      this.#holes ??= { at: block.index, holes: 0, missing: 0 };
      this.#holes.holes += 1;
      this.#holes.missing += block.index - this.#nextIndex;
    }
    this.#nextIndex = block.index + block.n;
  }

  #noteNotes(current: Current, block: StreamBlock): void {
    if (block.format === current.kind.format) return;
    const notes = JSON.stringify(block.format.notes);
    if (notes === current.notes) return;
    current.notes = notes;
    this.#disk.event('notes', block.index, { notes: block.format.notes });
  }

  #mark(): void {
    if (this.#holes === null) return;
    const { at, holes, missing } = this.#holes;
    this.#holes = null;
    this.#disk.event('gap', at, { holes, missing });
  }

  #anchor(): void {
    const monotonic_ns = this.#clock.monotonic_ns();
    this.#disk.event('anchor', this.#nextIndex ?? 0, { monotonic_ns });
  }

  #flush(): void {
    this.#current?.packer.flush();
  }

  #endHold(): void {
    if (this.#hold !== null) clearTimeout(this.#hold);
    this.#hold = null;
  }
}

interface Current {
  readonly kind: StreamKind;
  readonly types: readonly SampleType[];
  readonly packer: Packer;
  notes: string;
}

interface Holes {
  readonly at: number;
  holes: number;
  missing: number;
}
