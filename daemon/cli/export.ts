/** `export`: recordings into open formats, streamed, with a line of progress for a person. */
import { existsSync, mkdirSync, statSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { EXPORTERS, exporterById, type Exporter } from '../exporters/index.ts';
import { exportSourceOf } from '../exporters/recording-source.ts';
import { isRecordingId, recordingFolder } from '../store/file-names.ts';
import { openRecording } from '../store/recording.ts';
import { parseArguments, UsageError, type Command, type Io } from './command.ts';

const FORMATS = EXPORTERS.map(({ id }) => id).join('|');
/** Progress is told each time it has grown by this share. */
const PROGRESS_STEP = 0.1;

export const exportCommand: Command = {
  name: 'export',
  about: 'Recordings to CSV, Parquet, EDF+ or HDF5, with units, signs and provenance.',
  usage: `
Usage: npm run -s momentarm -- export RECORDING... --as ${FORMATS} --out PATH [--data ./data] [--json]

RECORDING is an id in the data folder, or a recording's folder. PATH is the file to write; with
several recordings, or when it is a folder or ends in a slash, one file a recording goes into it.
Beside each file a JSON sidecar explains every column. Formats:

${EXPORTERS.map(({ id, about }) => `  ${id.padEnd(8)} ${about}`).join('\n')}`,
  async run(args, io) {
    const { values, positionals } = parseArguments(args, {
      as: { type: 'string' },
      out: { type: 'string' },
      data: { type: 'string', default: './data' },
      json: { type: 'boolean', default: false },
    });
    const exporter = exporterById(values.as ?? '');
    if (!exporter) throw new UsageError(`--as ${values.as ?? '(missing)'}: use ${FORMATS}`);
    if (positionals.length === 0) throw new UsageError('no recording: give an id or a folder');
    const { out } = values;
    if (out === undefined) throw new UsageError('--out is missing: give the file to write');
    const isMany = positionals.length > 1 || /[/\\]$/.test(out) || isFolder(out);
    const written = [];
    for (const name of positionals) {
      const folder = folderOf(name, values.data);
      const path = pathFor(folder, out, isMany, exporter);
      written.push({ recording: name, files: await exportOne(folder, path, exporter, io) });
    }
    if (values.json) io.out(JSON.stringify(written, null, 2));
    else for (const { files } of written) io.out(files.join('\n'));
    return 0;
  },
};

const isFolder = (path: string) => existsSync(path) && statSync(path).isDirectory();

function folderOf(name: string, dataFolder: string): string {
  const byId = isRecordingId(name) ? recordingFolder(dataFolder, name) : name;
  for (const folder of [byId, name]) if (isFolder(folder)) return resolve(folder);
  throw new UsageError(`${name}: no such recording in ${dataFolder}, and no such folder`);
}

function pathFor(folder: string, out: string, isMany: boolean, exporter: Exporter): string {
  if (!isMany) return out;
  try {
    mkdirSync(out, { recursive: true });
  } catch (error) {
    throw new UsageError(`--out ${out}: ${error instanceof Error ? error.message : 'unusable'}`);
  }
  return join(out, `${openRecording(folder).id}.${exporter.extension}`);
}

async function exportOne(folder: string, path: string, exporter: Exporter, io: Io) {
  const source = exportSourceOf(openRecording(folder));
  if ('problem' in source) throw new UsageError(`${folder}: ${source.problem}`);
  let told = 0;
  try {
    return await exporter.write(source, path, (index) => {
      const share = source.end > 0 ? index / source.end : 1;
      if (share < told + PROGRESS_STEP && share < 1) return;
      told = share;
      io.err(`${source.id}: ${Math.round(100 * share)} %`);
    });
  } catch (error) {
    throw new UsageError(`${path}: ${error instanceof Error ? error.message : String(error)}`);
  }
}
