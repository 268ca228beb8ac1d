/**
 * Packs stream blocks of any length into the fixed blocks of a recording, without changing a number.
 * Short holes become empty places inside a block, so damage on the wire never makes files grow.
 * It keeps no time: whoever owns it calls `flush` when a block has waited long enough.
 */
import type { SampleType, StreamBlock, StreamFormat } from '../block/block.ts';
import {
  AFTER_HOLE,
  HAS_HOLES,
  setPresent,
  writeHead,
  writeValues,
  type BlockHead,
} from './block-codec.ts';
import { viewOf, type Crc32 } from './bytes.ts';
import type { BlockLayout } from './layout.ts';

/** A whole block that only lacks its place in a file. */
export interface PackedBlock {
  readonly head: BlockHead;
  readonly bytes: Uint8Array;
  /** One past the index of its last sample. */
  readonly end: number;
}

export interface Packer {
  /** Every value must fit the layout (see `storedTypes`). Full blocks are emitted at once. */
  add(block: StreamBlock): void;
  /** Emits the block that is being filled, if there is one. */
  flush(): void;
  readonly isEmpty: boolean;
}

interface Filling {
  readonly bytes: Uint8Array;
  readonly view: DataView;
  readonly index: number;
  readonly deviceFirst: number;
  readonly run: number;
  readonly isAfterHole: boolean;
  n: number;
  end: number;
  arrival_ns: number;
}

export function createPacker(
  layout: BlockLayout,
  crc: Crc32,
  emit: (packed: PackedBlock) => void,
): Packer {
  const { capacity } = layout;
  let filling: Filling | null = null;
  let lastEnd: number | null = null;

  function begin(block: StreamBlock, from: number): Filling {
    const bytes = new Uint8Array(layout.stride);
    const index = block.index + from;
    return {
      bytes,
      view: viewOf(bytes),
      index,
      deviceFirst: block.first + from,
      run: block.run,
      isAfterHole: lastEnd !== null && index !== lastEnd,
      n: 0,
      end: index,
      arrival_ns: block.arrival_ns,
    };
  }

  function flush(): void {
    if (filling === null) return;
    const { bytes, index, arrival_ns, deviceFirst, run, n, end, isAfterHole } = filling;
    const flags = (end - index > n ? HAS_HOLES : 0) | (isAfterHole ? AFTER_HOLE : 0);
    const head = { index, arrival_ns, deviceFirst, run, n, flags };
    writeHead(bytes, head, crc);
    filling = null;
    lastEnd = end;
    emit({ head, bytes, end });
  }

  return {
    add(block) {
      for (let from = 0; from < block.n;) {
        if (filling !== null && !continues(filling, block, from, capacity)) flush();
        filling ??= begin(block, from);
        const position = block.index + from - filling.index;
        const n = Math.min(block.n - from, capacity - position);
        place(filling, layout, block, { from, n, position });
        from += n;
        if (position + n === capacity) flush();
      }
    },
    flush,
    get isEmpty() {
      return filling === null;
    },
  };
}

function continues(filling: Filling, block: StreamBlock, from: number, capacity: number): boolean {
  const index = block.index + from;
  return (
    block.run === filling.run &&
    block.first - block.index === filling.deviceFirst - filling.index &&
    index >= filling.end &&
    index < filling.index + capacity
  );
}

function place(
  filling: Filling,
  layout: BlockLayout,
  block: StreamBlock,
  part: { readonly from: number; readonly n: number; readonly position: number },
): void {
  const { from, n, position } = part;
  layout.columns.forEach(({ stored, offset, bytes }, c) => {
    const values = block.columns[c];
    if (values === undefined) throw new Error('a block has fewer columns than its format');
    writeValues(filling.view, stored, offset + position * bytes, values, from, from + n);
  });
  for (let k = position; k < position + n; k += 1) setPresent(filling.bytes, k);
  filling.n += n;
  filling.end = filling.index + position + n;
  filling.arrival_ns = block.arrival_ns;
}

/**
 * The types that keep this block bit for bit: `stored` where its values fit, float64 where one does
 * not (a missing number in a whole-number channel). Gives `stored` itself when nothing changes.
 */
export function storedTypes(
  block: StreamBlock,
  stored: readonly SampleType[],
): readonly SampleType[] {
  const doesFit = stored.map((type, c) => fits(type, block.columns[c]));
  return doesFit.includes(false)
    ? stored.map((type, c) => (doesFit[c] === true ? type : 'float64'))
    : stored;
}

function fits(type: SampleType, values: Float64Array | undefined): boolean {
  if (values === undefined || type === 'float64') return true;
  if (type === 'float32') return values.every((v) => Number.isNaN(v) || Math.fround(v) === v);
  const most = type === 'int16' ? 0x7fff : 0x7fffff;
  return values.every((v) => Number.isInteger(v) && v <= most && v >= -most - 1 && !isMinusZero(v));
}

function isMinusZero(value: number): boolean {
  return value === 0 && 1 / value < 0;
}

/**
 * Blocks of both may stand in one file: the same channels at the same rate. Notes may differ; a
 * device that prints a new comment every second must not begin a new file every second.
 */
export function isSameFormat(a: StreamFormat, b: StreamFormat): boolean {
  if (a === b) return true;
  const isSameChannels = JSON.stringify(a.channels) === JSON.stringify(b.channels);
  return a.rate_Hz === b.rate_Hz && a.integrity === b.integrity && isSameChannels;
}
