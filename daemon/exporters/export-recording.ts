/**
 * One recording into one format: with what people decided about it, its results and what they stand on.
 * Used by the command and by the station's export thread alike; files appear when they are whole.
 */
import { mkdirSync, renameSync, rmSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { editsIn } from '../catalogue/edits.ts';
import { analyseRecording } from '../pipeline/analyse-recording.ts';
import { readResults, readTrust, resultsOf, sentTrust } from '../pipeline/results.ts';
import { trustOf } from '../pipeline/trust-of.ts';
import { openRecording, type Recording } from '../store/recording.ts';
import type { Exporter } from './index.ts';
import { exportSourceOf, type Findings } from './recording-source.ts';

/**
 * Ten minutes at 1 kHz. The memory of an export must not grow with the recording, that of an analysis does:
 * a longer one leaves with its results only when it has been analysed before.
 */
const MOST_UNASKED_SAMPLES = 600_000;

export type Exported = { readonly files: readonly string[] } | { readonly problem: string };

/** `progress` gets the share that is done, 0 to 1. Throws what the disk says. */
export async function exportRecording(
  folder: string,
  path: string,
  exporter: Exporter,
  progress: (share: number) => void,
): Promise<Exported> {
  const recording = openRecording(folder);
  const source = exportSourceOf(recording, await findingsOf(recording));
  if ('problem' in source) return source;
  // Written beside its place and moved there: what stands there is never half of it.
  const partial = join(dirname(path), `.${basename(path)}.partial`);
  mkdirSync(partial, { recursive: true });
  try {
    const written = await exporter.write(source, join(partial, basename(path)), (index) =>
      progress(source.end > 0 ? index / source.end : 1),
    );
    const files = written.map((file) => {
      const place = join(dirname(path), basename(file));
      renameSync(file, place);
      return place;
    });
    return { files };
  } finally {
    rmSync(partial, { recursive: true, force: true });
  }
}

async function findingsOf(recording: Recording): Promise<Findings> {
  const { folder, stop } = recording;
  const edits = editsIn(folder);
  const known = {
    results: await readResults(folder, edits.key),
    trust: await readTrust(folder, edits.key),
  };
  if (known.results && known.trust) return { edits, ...known };
  if ((stop?.samples ?? 0) > MOST_UNASKED_SAMPLES) {
    return { edits, results: known.results, trust: sentTrust(trustOf(recording, null, null)) };
  }
  const answer = analyseRecording(folder, edits);
  if ('problem' in answer) {
    return { edits, results: null, trust: sentTrust(trustOf(recording, null, null)) };
  }
  return { edits, results: resultsOf(answer.document), trust: sentTrust(answer.trust) };
}
