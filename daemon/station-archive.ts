/** What a data folder holds, opened together: recordings, the decisions on them, and the library's sets. */
import { openCatalogue, type Catalogue } from './catalogue/catalogue.ts';
import { NewerCatalogue } from './catalogue/database.ts';
import { originOf } from './catalogue/origin.ts';
import { sweepDeleted } from './catalogue/delete-recording.ts';
import { openSets, type Sets } from './catalogue/sets.ts';
import { UsageError } from './cli/command.ts';
import { wallClock } from './clock.ts';
import { createExportJobs, type ExportJobs } from './exporters/jobs.ts';
import type { AnalysisThread } from './pipeline/analysis-thread.ts';
import { createLibrary, type Library } from './station-library.ts';

export interface Archive {
  readonly dataFolder: string;
  readonly catalogue: Catalogue;
  readonly library: Library;
  readonly sets: Sets;
  readonly exports: ExportJobs;
  /** What is known of this recording is another: its set is made anew. */
  readonly changed: (id: string) => void;
  close(): void;
}

export interface ArchiveOptions {
  readonly dataFolder: string;
  readonly thread: AnalysisThread;
  /** Id of the recording under way. */
  readonly current: () => string | null;
  readonly trouble: (what: string, reason: string) => void;
}

/** A catalogue of a newer program is a `UsageError`: the user has the choice. */
export async function openArchive(options: ArchiveOptions): Promise<Archive> {
  const { dataFolder, thread, current, trouble } = options;
  const origin = await originOf(dataFolder);
  const changed = (id: string): void => sets.renew(id);
  await sweepDeleted(dataFolder);
  const catalogue = opened({ dataFolder, origin, now: wallClock, changed });
  const library = createLibrary({ dataFolder, thread, current, changed });
  const sets = openSets({ dataFolder, database: catalogue.database, library, trouble });
  const exports = createExportJobs(dataFolder);
  for (const { lines } of catalogue.damage) {
    trouble('decisions damaged', `${lines.length} lines are left out`);
  }
  return {
    ...{ dataFolder, catalogue, library, sets, exports, changed },
    close() {
      void exports.close();
      sets.close();
      catalogue.close();
    },
  };
}

function opened(options: Parameters<typeof openCatalogue>[0]): Catalogue {
  try {
    return openCatalogue(options);
  } catch (error) {
    if (error instanceof NewerCatalogue) throw new UsageError(`--data: ${error.message}`);
    throw error;
  }
}
