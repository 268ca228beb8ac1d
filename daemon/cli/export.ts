/** `export`: recordings into open formats, streamed, with a line of progress for a person. */
import { existsSync, mkdirSync, statSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { findRecordings } from '../catalogue/find-recordings.ts';
import { FACETS } from '../catalogue/set-index.ts';
import { exportRecording } from '../exporters/export-recording.ts';
import { EXPORTERS, exporterById, type Exporter } from '../exporters/index.ts';
import { previewExport } from '../exporters/preview.ts';
import { diskTrouble } from '../store/disk-trouble.ts';
import { isRecordingId, recordingFolder } from '../store/file-names.ts';
import { openRecording } from '../store/recording.ts';
import { parseArguments, UsageError, type Command, type Io } from './command.ts';

const FORMATS = EXPORTERS.map(({ id }) => id).join('|');
/** Progress is told each time it has grown by this share. */
const PROGRESS_STEP = 0.1;
/** Options that choose recordings by what they are; values with commas between, any of them fits. */
const CHOICES = [...FACETS, 'from', 'to', 'text'] as const;

const OPTIONS = {
  as: { type: 'string' },
  out: { type: 'string' },
  data: { type: 'string', default: './data' },
  all: { type: 'boolean', default: false },
  preview: { type: 'boolean', default: false },
  json: { type: 'boolean', default: false },
  subject: { type: 'string' },
  session: { type: 'string' },
  pattern: { type: 'string' },
  side: { type: 'string' },
  mode: { type: 'string' },
  station: { type: 'string' },
  status: { type: 'string' },
  from: { type: 'string' },
  to: { type: 'string' },
  text: { type: 'string' },
} as const;

export const exportCommand: Command = {
  name: 'export',
  about: 'Recordings to CSV, Parquet, EDF+ or HDF5, with units, signs and provenance.',
  usage: `
Usage: npm run -s momentarm -- export RECORDING... --as ${FORMATS} --out PATH [--data ./data] [--json]
       npm run -s momentarm -- export --subject SH-01,SH-02 --from 2026-11-01 --as csv --out FOLDER/

RECORDING is an id in the data folder, or a recording's folder. Without one, choose by
${CHOICES.map((name) => `--${name}`).join(' ')}, or take --all.
PATH is the file to write; with several recordings, or when it is a folder or ends in a slash, one
file a recording goes into it. Beside each file a JSON sidecar explains every column.
--preview writes nothing and lists what would leave. Formats:

${EXPORTERS.map(({ id, about }) => `  ${id.padEnd(8)} ${about}`).join('\n')}`,
  async run(args, io) {
    const { values, positionals } = parseArguments(args, OPTIONS);
    const folders = foldersOf(values, positionals);
    if (values.preview) return preview(folders, values.json, io);
    const exporter = exporterById(values.as ?? '');
    if (!exporter) throw new UsageError(`--as ${values.as ?? '(missing)'}: use ${FORMATS}`);
    const { out } = values;
    if (out === undefined) throw new UsageError('--out is missing: give the file to write');
    const isMany = positionals.length !== 1 || /[/\\]$/.test(out) || isFolder(out);
    const written = [];
    for (const folder of folders) {
      const path = pathFor(folder, out, isMany, exporter);
      const recording = openRecording(folder).id;
      written.push({ recording, files: await exportOne(folder, path, exporter, io) });
    }
    if (values.json) io.out(JSON.stringify(written, null, 2));
    else for (const { files } of written) io.out(files.join('\n'));
    return 0;
  },
};

type Values = ReturnType<typeof parseArguments<typeof OPTIONS>>['values'];

function foldersOf(values: Values, positionals: readonly string[]): string[] {
  if (positionals.length > 0) return positionals.map((name) => folderOf(name, values.data));
  const chosen = FACETS.flatMap((facet) => {
    const text = values[facet];
    return text === undefined ? [] : [[facet, text.split(',')] as const];
  });
  const { from, to, text } = values;
  if (!values.all && chosen.length === 0 && (from ?? to ?? text) === undefined) {
    throw new UsageError('no recording: give an id or a folder, choose by --subject, or --all');
  }
  for (const [name, day] of [
    ['from', from],
    ['to', to],
  ] as const) {
    if (day !== undefined && Number.isNaN(Date.parse(day))) {
      throw new UsageError(`--${name} ${day}: give a day, e.g. 2026-11-25`);
    }
  }
  if (!isFolder(values.data)) throw new UsageError(`--data ${values.data}: no such folder`);
  const ids = findRecordings(values.data, { facets: Object.fromEntries(chosen), from, to, text });
  if (ids.length === 0) throw new UsageError('no recording fits; --all takes every one');
  return ids.map((id) => resolve(recordingFolder(values.data, id)));
}

function preview(folders: readonly string[], isJson: boolean, io: Io): number {
  const previews = folders.map(previewExport);
  if (isJson) io.out(JSON.stringify(previews, null, 2));
  for (const one of isJson ? [] : previews) {
    io.out(`${one.recording}: subject ${one.subject}, ${one.samples} samples`);
    io.out(`  columns: ${one.columns.join(', ')}`);
    io.out(`  texts that were typed: ${one.texts.map((text) => JSON.stringify(text)).join(', ')}`);
    io.out(`  explained by: ${one.provenance.join(', ')}`);
    for (const warning of one.warnings) io.out(`  look: ${warning}`);
    if (one.problem !== '') io.out(`  cannot leave: ${one.problem}`);
  }
  return previews.some(({ problem }) => problem !== '') ? 1 : 0;
}

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
    throw new UsageError(`--out ${out}: ${diskTrouble(error).words}`);
  }
  return join(out, `${openRecording(folder).id}.${exporter.extension}`);
}

async function exportOne(folder: string, path: string, exporter: Exporter, io: Io) {
  const { id } = openRecording(folder);
  let told = 0;
  const progress = (share: number): void => {
    if (share < told + PROGRESS_STEP && share < 1) return;
    told = share;
    io.err(`${id}: ${Math.round(100 * share)} %`);
  };
  const exported = await exportRecording(folder, path, exporter, progress).catch(
    (error: unknown): never => {
      throw new UsageError(`${path}: ${diskTrouble(error).words}`);
    },
  );
  if ('problem' in exported) throw new UsageError(`${folder}: ${exported.problem}`);
  return exported.files;
}
