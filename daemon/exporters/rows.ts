/** Gathers chunks into tables of a stated number of rows, so that formats with row groups stream. */
import type { ExportChunk, ExportSource } from './index.ts';

/** Rows in memory at a time: 64 Ki rows of 8 columns are 4 MiB. */
export const TABLE_ROWS = 65_536;

export interface RowTable {
  readonly n: number;
  /** Index of each row in the stream. */
  readonly index: Float64Array;
  readonly columns: readonly Float64Array[];
}

/** The arrays are reused by the next table: copy what must outlive the loop. */
export function* tablesOf(source: ExportSource, rows: number = TABLE_ROWS): Generator<RowTable> {
  const index = new Float64Array(rows);
  const columns = source.columns.map(() => new Float64Array(rows));
  let n = 0;
  for (const chunk of source.chunks()) {
    let taken = 0;
    while (taken < chunk.n) {
      const count = Math.min(chunk.n - taken, rows - n);
      copyRows(chunk, taken, count, { index, columns, at: n });
      n += count;
      taken += count;
      if (n === rows) {
        yield { n, index, columns };
        n = 0;
      }
    }
  }
  if (n > 0) {
    yield {
      n,
      index: index.subarray(0, n),
      columns: columns.map((column) => column.subarray(0, n)),
    };
  }
}

function copyRows(
  chunk: ExportChunk,
  from: number,
  count: number,
  to: { index: Float64Array; columns: Float64Array[]; at: number },
): void {
  for (let i = 0; i < count; i += 1) to.index[to.at + i] = chunk.index + from + i;
  to.columns.forEach((column, c) => {
    const values = chunk.columns[c];
    if (values) column.set(values.subarray(from, from + count), to.at);
  });
}
