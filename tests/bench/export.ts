/**
 * Exports beside the reference libraries that write the same columns in the same run: 4 channels of 16 bits
 * at 1 kHz, a quarter of an hour, or as many hours as the first argument says. The heap is capped at
 * 256 MiB; the peak is the whole process (VmHWM), code and buffers included.
 */
import { execFileSync, spawn } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { DuckDBInstance } from '@duckdb/node-api';
import { EXPORTERS } from '../../daemon/exporters/index.ts';
import { bundledProgram } from '../support/daemon.ts';
import { formatOf, recorderIn } from '../support/recordings.ts';

const RATE_HZ = 1000;
/** h5py, one compressed dataset a column as ours; reading the columns is not counted. */
const PYTHON = `
import sys, time
import h5py
import numpy as np
columns = np.loadtxt(sys.argv[1], delimiter=",", skiprows=1, unpack=True)
began = time.perf_counter()
with h5py.File(sys.argv[2], "w") as f:
    for k, column in enumerate(columns):
        f.create_dataset(str(k), data=column, chunks=(16384,), compression="gzip", compression_opts=1)
open(sys.argv[2] + ".seconds", "w").write(str(time.perf_counter() - began))
`;

const hours = Number(process.argv[2] ?? 0.25);
const folder = mkdtempSync(join(tmpdir(), 'momentarm-bench-'));
const recording = await record(Math.round(hours * 3600));
/** What leaves: index, time and four columns of 8 bytes. */
const payload_MB = (hours * 3600 * RATE_HZ * 6 * 8) / 1e6;

for (const { id, extension } of EXPORTERS) {
  const path = join(folder, `out.${extension}`);
  const { seconds, peak_MiB } = await ours(id, path);
  const size_MB = statSync(path).size / 1e6;
  const reference_s = hours > 1 ? null : await reference(id);
  const ratio = reference_s === null ? null : seconds / reference_s;
  const measured = { ratio, seconds, reference_s, payload_MBps: payload_MB / seconds };
  print({ figure: `export ${id}, ${hours} h`, ...measured, size_MB, peak_MiB });
}
rmSync(folder, { recursive: true, force: true });

async function record(seconds: number): Promise<string> {
  const format = formatOf(['int16', 'int16', 'int16', 'int16'], RATE_HZ);
  const recorder = recorderIn(folder, 'bench');
  await recorder.ready;
  const n = RATE_HZ;
  const columns = [11, 13, 17, 19].map((step) =>
    Float64Array.from({ length: n }, (_, i) => ((i * step) % 20_000) - 10_000),
  );
  for (let second = 0; second < seconds; second += 1) {
    const index = second * n;
    recorder.write({ format, run: 0, first: index, index, n, columns, arrival_ns: index * 1e6 });
    if (second % 20 === 19) await new Promise((resolve) => setImmediate(resolve));
  }
  await recorder.close('bench');
  return join(folder, 'recordings', 'bench');
}

async function ours(format: string, path: string): Promise<{ seconds: number; peak_MiB: number }> {
  const args = ['--max-old-space-size=256', await bundledProgram(), 'export', recording];
  const from = performance.now();
  const child = spawn(process.execPath, [...args, '--as', format, '--out', path], {
    stdio: 'ignore',
  });
  let peak_KiB = 0;
  const poll = setInterval(() => {
    try {
      const status = readFileSync(`/proc/${child.pid}/status`, 'utf8');
      peak_KiB = Math.max(peak_KiB, Number(/VmHWM:\s+(\d+)/.exec(status)?.[1] ?? 0));
    } catch {
      // It has just ended.
    }
  }, 20);
  await new Promise((resolve) => child.once('close', resolve));
  clearInterval(poll);
  return { seconds: (performance.now() - from) / 1000, peak_MiB: peak_KiB / 1024 };
}

/** Seconds that the library of the format needs for the same columns; null where none is at hand. */
async function reference(format: string): Promise<number | null> {
  const parquet = join(folder, 'out.parquet');
  const out = join(folder, 'reference');
  const from = performance.now();
  if (format === 'hdf5') {
    const script = join(folder, 'write.py');
    writeFileSync(script, PYTHON);
    execFileSync('/usr/bin/python3', [script, join(folder, 'out.csv'), out]);
    return Number(readFileSync(`${out}.seconds`, 'utf8'));
  }
  if (format === 'edf') return null;
  const source = format === 'csv' ? `select * from '${join(folder, 'out.csv')}'` : '';
  const connection = await (await DuckDBInstance.create(':memory:')).connect();
  await connection.run(
    `create table t as ${source || `select * from '${parquet}'`}; set threads = 1;`,
  );
  const began = performance.now();
  const how = format === 'csv' ? 'format csv' : 'format parquet, compression gzip';
  await connection.run(`copy t to '${out}' (${how})`);
  connection.closeSync();
  return (performance.now() - Math.max(began, from)) / 1000;
}

function print(figure: object): void {
  process.stdout.write(`${JSON.stringify(figure)}\n`);
}
