/**
 * The binary message of `/live`: one sample block, little-endian, the same bytes for every client.
 *
 * | offset | type     | what                                                     |
 * |--------|----------|----------------------------------------------------------|
 * | 0      | u8       | 1 = sample block                                         |
 * | 1      | u8       | version of this layout, 1                                |
 * | 2      | u8       | number of columns, in the order of `state.columns`       |
 * | 3      | u8       | flags: bit 0 = samples are missing before this block     |
 * | 4      | u32      | n, samples a column                                      |
 * | 8      | f64      | index of the first sample in the stream                  |
 * | 16     | f64      | rate_Hz                                                  |
 * | 24     | f64      | arrival, milliseconds of the daemon's monotonic clock    |
 * | 32     | f32[n]   | first column, then the next; NaN = no sample             |
 */

export const BLOCK_HEADER_BYTES = 32;
const KIND = 1;
const VERSION = 1;

export interface LiveBlock {
  readonly index: number;
  readonly n: number;
  readonly rate_Hz: number;
  readonly arrival_ms: number;
  readonly afterGap: boolean;
  readonly columns: readonly Float32Array[];
}

/** Columns must all have at least n values. */
export function encodeLiveBlock(
  block: Omit<LiveBlock, 'columns'> & { readonly columns: readonly ArrayLike<number>[] },
): Uint8Array<ArrayBuffer> {
  const { n, columns } = block;
  const bytes = new Uint8Array(BLOCK_HEADER_BYTES + 4 * n * columns.length);
  const view = new DataView(bytes.buffer);
  view.setUint8(0, KIND);
  view.setUint8(1, VERSION);
  view.setUint8(2, columns.length);
  view.setUint8(3, block.afterGap ? 1 : 0);
  view.setUint32(4, n, true);
  view.setFloat64(8, block.index, true);
  view.setFloat64(16, block.rate_Hz, true);
  view.setFloat64(24, block.arrival_ms, true);
  const values = new Float32Array(bytes.buffer, BLOCK_HEADER_BYTES);
  columns.forEach((column, c) => {
    for (let i = 0; i < n; i += 1) values[c * n + i] = column[i] ?? Number.NaN;
  });
  return bytes;
}

/** Null when it is not a sample block of this version, or its length contradicts its header. */
export function decodeLiveBlock(buffer: ArrayBuffer): LiveBlock | null {
  if (buffer.byteLength < BLOCK_HEADER_BYTES) return null;
  const view = new DataView(buffer);
  if (view.getUint8(0) !== KIND || view.getUint8(1) !== VERSION) return null;
  const nColumns = view.getUint8(2);
  const n = view.getUint32(4, true);
  if (buffer.byteLength !== BLOCK_HEADER_BYTES + 4 * n * nColumns) return null;
  const columns = Array.from(
    { length: nColumns },
    (_, c) => new Float32Array(buffer, BLOCK_HEADER_BYTES + 4 * n * c, n),
  );
  return {
    index: view.getFloat64(8, true),
    n,
    rate_Hz: view.getFloat64(16, true),
    arrival_ms: view.getFloat64(24, true),
    afterGap: (view.getUint8(3) & 1) === 1,
    columns,
  };
}
