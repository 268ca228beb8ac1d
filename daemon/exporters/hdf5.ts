/** HDF5: one resizable, compressed dataset a column with unit and meaning as attributes. */
import { closeSync, openSync, readSync, writeSync } from 'node:fs';
import type { Dataset, File } from 'h5wasm/node';
import type { Exporter, ExportSource } from './index.ts';
import { TABLE_ROWS, tablesOf } from './rows.ts';
import { KEY_COLUMNS, sidecarOf, writeSidecar } from './sidecar.ts';

/** Values in one compressed chunk of a dataset: 128 KiB, the unit a reader must unpack. */
const CHUNK_VALUES = 16_384;
/** Object headers are written first; the modification times stand in this many bytes. */
const HEADER_BYTES = 65_536;
/** Light compression: noise in the low bits leaves little to gain from more. */
const COMPRESSION_LEVEL = 1;

export const hdf5: Exporter = {
  id: 'hdf5',
  extension: 'h5',
  about: 'Self-describing datasets for h5py, MATLAB-like tools and R.',
  async write(source, path, progress) {
    // Loaded when it is needed: the station starts without it.
    const h5wasm = await import('h5wasm/node');
    await h5wasm.ready;
    const file = new h5wasm.File(path, 'w', { libver: ['earliest', 'v108'] });
    try {
      const datasets = createDatasets(file, source);
      writeMarkers(file, source);
      let written = 0;
      for (const { n, index, columns } of tablesOf(source, TABLE_ROWS)) {
        const time_s = index.map((i) => i / source.rate_Hz);
        [index, time_s, ...columns].forEach((values, d) => {
          const dataset = datasets[d];
          dataset?.resize([written + n]);
          // The library takes its own copy only of whole arrays, never of views into a larger one.
          dataset?.write_slice([[written, written + n]], values.slice(0, n));
        });
        written += n;
        progress((index[n - 1] ?? 0) + 1);
      }
    } finally {
      file.close();
    }
    setModificationTimes(path, Math.floor(Date.parse(source.startedAt) / 1000));
    return [path, writeSidecar(source, path)];
  },
};

function createDatasets(file: File, source: ExportSource): Dataset[] {
  file.create_attribute('SamplingFrequency', source.rate_Hz);
  file.create_attribute('momentarm', JSON.stringify(sidecarOf(source)));
  return [...KEY_COLUMNS, ...source.columns].map(({ name, unit, meaning }) => {
    const dataset = file.create_dataset({
      name,
      data: new Float64Array(0),
      shape: [0],
      maxshape: [null],
      chunks: [CHUNK_VALUES],
      dtype: '<d',
      compression: 'gzip',
      compression_opts: COMPRESSION_LEVEL,
    });
    dataset.create_attribute('Units', unit);
    dataset.create_attribute('Description', meaning);
    return dataset;
  });
}

/** Three datasets of one length; an empty one where there is no marker. */
function writeMarkers(file: File, { markers }: ExportSource): void {
  const shape = [markers.length];
  const columns = [
    ['marker_sample_index', Float64Array.from(markers, ({ index }) => index)],
    ['marker_time_s', Float64Array.from(markers, ({ time_s }) => time_s)],
  ] as const;
  for (const [name, data] of columns) file.create_dataset({ name, data, shape, dtype: '<d' });
  const data = markers.map(({ text }) => text);
  if (data.length > 0) file.create_dataset({ name: 'marker_text', data, shape });
}

/**
 * Sets the modification time of every dataset to that of the recording, so that the same recording
 * gives the same bytes. HDF5 File Format Specification 3.0, IV.A.2.s: header message 0x0012 of 8
 * bytes: version 1, three reserved, then the seconds; the version 1 object header has no checksum.
 */
function setModificationTimes(path: string, seconds: number): void {
  const message = Buffer.from([0x12, 0, 8, 0, 0, 0, 0, 0, 1, 0, 0, 0]);
  const file = openSync(path, 'r+');
  try {
    const head = Buffer.alloc(HEADER_BYTES);
    const length = readSync(file, head, 0, HEADER_BYTES, 0);
    const time = Buffer.alloc(4);
    time.writeUInt32LE(seconds);
    for (let at = head.indexOf(message); at !== -1; at = head.indexOf(message, at + 1)) {
      if (at + message.length + 4 <= length) writeSync(file, time, 0, 4, at + message.length);
    }
  } finally {
    closeSync(file);
  }
}
