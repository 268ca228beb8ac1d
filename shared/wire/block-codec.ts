/**
 * The binary message of `/live`: one sample block, little-endian, the same bytes for every client.
 *
 * | offset | type     | what                                                     |
 * |--------|----------|----------------------------------------------------------|
 * | 0      | u8       | 1 = sample block                                         |
 * | 1      | u8       | version of this layout, 1                                |
 * | 2      | u8       | number of columns, in the order of `state.columns`       |
 * | 3      | u8       | flags: bit 0 = samples are missing before this block     |
 * | 4      | u16      | n, values a column                                       |
 * | 6      | u16      | step, samples from one value to the next; 1 = every one  |
 * | 8      | f64      | index of the first sample in the stream                  |
 * | 16     | f64      | rate_Hz of the stream, whatever the step                 |
 * | 24     | f64      | arrival, milliseconds of the daemon's monotonic clock    |
 * | 32     | f32[n]   | first column, then the next; NaN = no sample             |
 */

export const BLOCK_HEADER_BYTES = 32;
/** What the count of values can say; live blocks hold tens of milliseconds. */
const MOST_BLOCK_VALUES = 65_535;
const KIND = 1;
const VERSION = 1;

export interface LiveBlock {
  readonly index: number;
  readonly n: number;
  /**
   * Value i stands at sample `index + i * step`. Above 1 the block is coarse: a client that fell
   * behind gets pairs, the least and then the greatest of `2 * step` samples.
   */
  readonly step: number;
  readonly rate_Hz: number;
  readonly arrival_ms: number;
  readonly afterGap: boolean;
  readonly columns: readonly Float32Array[];
}

export interface LiveBlockSource extends Omit<LiveBlock, 'columns' | 'step'> {
  /** 1 when left out. */
  readonly step?: number;
  /** All with at least n values. */
  readonly columns: readonly ArrayLike<number>[];
}

/** Bytes that one block takes. */
export function liveBlockBytes(n: number, nColumns: number): number {
  return BLOCK_HEADER_BYTES + 4 * n * nColumns;
}

export function encodeLiveBlock(block: LiveBlockSource): Uint8Array<ArrayBuffer> {
  const bytes = new Uint8Array(liveBlockBytes(block.n, block.columns.length));
  writeLiveBlock(block, bytes);
  return bytes;
}

/** Writes a block at the start of `bytes`, wherever those begin. */
export function writeLiveBlock(block: LiveBlockSource, bytes: Uint8Array): void {
  const { n, columns } = block;
  if (n > MOST_BLOCK_VALUES) throw new RangeError(`a live block cannot hold ${n} values a column`);
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  view.setUint8(0, KIND);
  view.setUint8(1, VERSION);
  view.setUint8(2, columns.length);
  view.setUint8(3, block.afterGap ? 1 : 0);
  view.setUint16(4, n, true);
  view.setUint16(6, block.step ?? 1, true);
  view.setFloat64(8, block.index, true);
  view.setFloat64(16, block.rate_Hz, true);
  view.setFloat64(24, block.arrival_ms, true);
  let offset = BLOCK_HEADER_BYTES;
  for (const column of columns) {
    for (let i = 0; i < n; i += 1, offset += 4) view.setFloat32(offset, column[i] ?? NaN, true);
  }
}

/** Null when it is not a sample block of this version, or its length contradicts its header. */
export function decodeLiveBlock(buffer: ArrayBuffer): LiveBlock | null {
  if (buffer.byteLength < BLOCK_HEADER_BYTES) return null;
  const view = new DataView(buffer);
  if (view.getUint8(0) !== KIND || view.getUint8(1) !== VERSION) return null;
  const nColumns = view.getUint8(2);
  const n = view.getUint16(4, true);
  const step = view.getUint16(6, true);
  if (step === 0 || buffer.byteLength !== liveBlockBytes(n, nColumns)) return null;
  const columns = Array.from(
    { length: nColumns },
    (_, c) => new Float32Array(buffer, BLOCK_HEADER_BYTES + 4 * n * c, n),
  );
  return {
    index: view.getFloat64(8, true),
    n,
    step,
    rate_Hz: view.getFloat64(16, true),
    arrival_ms: view.getFloat64(24, true),
    afterGap: (view.getUint8(3) & 1) === 1,
    columns,
  };
}
