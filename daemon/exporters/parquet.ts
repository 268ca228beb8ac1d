/** Parquet: typed columns in row groups, statistics for filters, provenance in the file's key-values. */
import { constants, gzipSync } from 'node:zlib';
import { ParquetWriter, fileWriter } from 'hyparquet-writer';
import type { Exporter, ExportSource } from './index.ts';
import { tablesOf } from './rows.ts';
import { sidecarOf, writeSidecar } from './sidecar.ts';

export const parquet: Exporter = {
  id: 'parquet',
  extension: 'parquet',
  about: 'Typed columns for data frames (pandas, R arrow, DuckDB).',
  async write(source, path, progress) {
    const writer = new ParquetWriter({
      writer: fileWriter(path),
      schema: schemaOf(source),
      codec: 'GZIP',
      compressors: { GZIP: (bytes) => gzipSync(bytes, { level: constants.Z_BEST_SPEED }) },
      createdBy: 'momentarm',
      kvMetadata: [{ key: 'momentarm', value: JSON.stringify(sidecarOf(source)) }],
    });
    for (const { n, index, columns } of tablesOf(source)) {
      const time_s = index.map((i) => i / source.rate_Hz);
      const keys = [
        {
          name: 'sample_index',
          data: BigInt64Array.from(index, BigInt),
          encoding: 'DELTA_BINARY_PACKED',
        },
        { name: 'time_s', data: time_s, encoding: 'BYTE_STREAM_SPLIT' },
      ] as const;
      const values = source.columns.map(({ name }, c) => ({
        name,
        data: columns[c] ?? new Float64Array(n),
        encoding: 'BYTE_STREAM_SPLIT' as const,
      }));
      await writer.write({ columnData: [...keys, ...values], rowGroupSize: n });
      progress((index[n - 1] ?? 0) + 1);
    }
    await writer.finish();
    return [path, writeSidecar(source, path)];
  },
};

function schemaOf(source: ExportSource) {
  const names = ['time_s', ...source.columns.map((column) => column.name)];
  return [
    { name: 'root', num_children: names.length + 1 },
    { name: 'sample_index', type: 'INT64' as const, repetition_type: 'REQUIRED' as const },
    ...names.map((name) => ({
      name,
      type: 'DOUBLE' as const,
      repetition_type: 'REQUIRED' as const,
    })),
  ];
}
