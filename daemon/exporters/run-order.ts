/** An export order carried out, recording after recording; one that cannot leave does not stop the others. */
import { basename, join } from 'node:path';
import type { ExportOrder, ExportTold } from '../pipeline/analyst.ts';
import { diskTrouble } from '../store/disk-trouble.ts';
import { exportRecording } from './export-recording.ts';
import { exporterById } from './index.ts';

/** Progress is told each time it has grown by this share. */
const PROGRESS_STEP = 0.01;

export async function runOrder(
  { format, folders, out }: ExportOrder,
  tell: (told: ExportTold) => void,
): Promise<void> {
  const exporter = exporterById(format);
  if (!exporter) throw new Error(`there is no exporter ${format}`);
  const files: string[] = [];
  const problems: string[] = [];
  let told = 0;
  for (const [k, folder] of folders.entries()) {
    const path = join(out, `${basename(folder)}.${exporter.extension}`);
    const progress = (share: number): void => {
      const all = (k + share) / folders.length;
      if (all < told + PROGRESS_STEP) return;
      told = all;
      tell({ kind: 'progress', progress: all });
    };
    try {
      const exported = await exportRecording(folder, path, exporter, progress);
      if ('problem' in exported) problems.push(`${basename(folder)}: ${exported.problem}`);
      else files.push(...exported.files);
    } catch (error) {
      problems.push(`${basename(folder)}: ${diskTrouble(error).words}`);
    }
  }
  tell({ kind: 'done', files, problems });
}
