/** `verify`: checks every block of recordings, tells damage by position and time, writes sound copies. */
import { existsSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { wallClock } from '../clock.ts';
import { diskTrouble } from '../store/disk-trouble.ts';
import { isRecordingId, recordingFolder, STOP_FILE } from '../store/file-names.ts';
import { repairRecording } from '../store/repair.ts';
import { verifyRecording, type Finding, type VerifyReport } from '../store/verify.ts';
import { type Command, type Io, parseArguments, UsageError } from './command.ts';

const USAGE = `
Usage: npm run -s momentarm -- verify RECORDING... [--data ./data] [--repair] [--json]

Checks every block of a recording against its checksums and its closing document.
RECORDING is an id in the data folder, or the path of a recording's folder.

  --data DIR   the data folder that ids are looked up in; ./data when left out
  --repair     writes a sound copy beside each damaged recording; the original is never touched
  --json       one report for one recording, a list for several

Exit status: 0 all are sound; 1 damage was found; 2 there is no such recording.
`;

export const verifyCommand: Command = {
  name: 'verify',
  about: 'Checks every block of recordings; --repair writes a sound copy of damaged ones.',
  usage: USAGE,
  run: verify,
};

async function verify(args: readonly string[], io: Io): Promise<number> {
  const { values, positionals } = parseArguments(args, {
    data: { type: 'string', default: './data' },
    repair: { type: 'boolean', default: false },
    json: { type: 'boolean', default: false },
  });
  if (positionals.length === 0) {
    throw new UsageError('name a recording: an id in the data folder or the path of its folder');
  }
  const folders = positionals.map((text) => folderOf(text, values.data));
  const results: (VerifyReport & { readonly repairedAs: string | null })[] = [];
  for (const folder of folders) {
    const report = checked(folder);
    const isWorthIt = values.repair && !report.isSound;
    const repairedAs = isWorthIt ? await repaired(folder) : null;
    results.push({ ...report, repairedAs });
    if (!values.json) tell(report, repairedAs, io);
  }
  if (values.json) io.out(JSON.stringify(results.length === 1 ? results[0] : results, null, 2));
  return results.every(({ isSound }) => isSound) ? 0 : 1;
}

function folderOf(text: string, data: string): string {
  if (isFolder(text)) return text;
  const inData = isRecordingId(text) ? recordingFolder(data, text) : null;
  if (inData !== null && isFolder(inData)) return inData;
  throw new UsageError(
    `${text}: no recording of this id in ${join(data, 'recordings')} and no folder of this name; ` +
      'give the id, --data DIR, or the path of its folder',
  );
}

function checked(folder: string): VerifyReport {
  try {
    return verifyRecording(folder);
  } catch (error) {
    throw new UsageError(`${folder}: it cannot be read: ${diskTrouble(error).words}`);
  }
}

async function repaired(folder: string): Promise<string> {
  try {
    return await repairRecording(folder, wallClock());
  } catch (error) {
    throw new UsageError(`${folder}: no sound copy was written: ${diskTrouble(error).words}`);
  }
}

function tell(report: VerifyReport, repairedAs: string | null, io: Io): void {
  const { id, isSound, blocks, samples, duration_s, lostSamples } = report;
  const content = `${blocks} blocks, ${samples} samples, ${duration_s.toFixed(3)} s`;
  const isOnlyOpen = report.findings.every(({ file }) => file === STOP_FILE);
  const state = isSound ? 'sound' : report.closed === null && isOnlyOpen ? 'NOT CLOSED' : 'DAMAGED';
  io.out(`${id}: ${state} (${content})`);
  for (const finding of report.findings) io.out(`  ${inWords(finding)}`);
  if (lostSamples > 0) io.out(`  in all at most ${lostSamples} samples are lost`);
  for (const note of report.notes) io.out(`  note: ${note}`);
  if (repairedAs !== null) io.out(`  a sound copy is in ${repairedAs}`);
}

function inWords({ file, fromByte, toByte, start_s, end_s, message }: Finding): string {
  const bytes = fromByte === null || toByte === null ? '' : `, bytes ${fromByte} to ${toByte}`;
  const time =
    start_s === null && end_s === null
      ? ''
      : ` (${start_s === null ? 'the start' : `${start_s.toFixed(3)} s`} to ` +
        `${end_s === null ? 'the end' : `${end_s.toFixed(3)} s`})`;
  return `${file}${bytes}${time}: ${message}`;
}

function isFolder(path: string): boolean {
  return existsSync(path) && statSync(path).isDirectory();
}
