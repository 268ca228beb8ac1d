/**
 * Exports that the station makes for a page or a script, in a thread of their own: one at a time, the
 * others wait. Files stay until the station starts again or newer jobs push them out; cancel leaves none.
 */
import { randomBytes } from 'node:crypto';
import { mkdir, rm, stat } from 'node:fs/promises';
import { basename, join } from 'node:path';
import type { Worker } from 'node:worker_threads';
import { startWorker } from '../pipeline/analysis-thread.ts';
import type { ExportOrder, ExportTold } from '../pipeline/analyst.ts';
import { recordingFolder } from '../store/file-names.ts';
import type { ExportFormat } from './index.ts';

/** Finished jobs whose files are kept for download. */
const MOST_JOBS = 20;
/** Recordings of one job. */
export const MOST_RECORDINGS = 10_000;

export interface ExportFile {
  readonly name: string;
  readonly bytes: number;
}

export interface ExportJob {
  readonly id: string;
  readonly format: ExportFormat;
  readonly recordings: readonly string[];
  readonly state: 'waiting' | 'running' | 'done' | 'failed' | 'cancelled';
  /** 0 to 1 over all recordings. */
  readonly progress: number;
  readonly files: readonly ExportFile[];
  /** Recordings that could not leave, and why. */
  readonly problems: readonly string[];
}

export interface ExportJobs {
  start(format: ExportFormat, recordings: readonly string[]): ExportJob;
  get(id: string): ExportJob | null;
  /** Newest first. */
  list(): readonly ExportJob[];
  /** Null when there is none of that id. */
  cancel(id: string): Promise<ExportJob | null>;
  /** Where a finished file stands; null when the job has none of that name. */
  file(id: string, name: string): string | null;
  close(): Promise<void>;
}

export function createExportJobs(dataFolder: string): ExportJobs {
  const parent = join(dataFolder, 'exports');
  const jobs = new Map<string, ExportJob>();
  let running: { readonly id: string; readonly worker: Worker } | null = null;
  // What a former station left is not on any list.
  const swept = rm(parent, { recursive: true, force: true }).catch(() => undefined);

  const folderOf = (id: string): string => join(parent, id);
  const change = (id: string, changes: Partial<ExportJob>): void => {
    const job = jobs.get(id);
    if (job) jobs.set(id, { ...job, ...changes });
  };
  const finish = (id: string, changes: Partial<ExportJob>): void => {
    change(id, changes);
    if (running?.id !== id) return;
    void running.worker.terminate();
    running = null;
    void startNext();
  };
  const hear = async (id: string, told: ExportTold): Promise<void> => {
    if (jobs.get(id)?.state !== 'running') return;
    if (told.kind === 'progress') change(id, { progress: told.progress });
    else if (told.kind === 'failed') finish(id, { state: 'failed', problems: [told.problem] });
    else {
      const files = await filesAt(told.files);
      const state = files.length > 0 ? 'done' : 'failed';
      finish(id, { state, progress: 1, files, problems: told.problems });
    }
  };
  const startNext = async (): Promise<void> => {
    const next = [...jobs.values()].find(({ state }) => state === 'waiting');
    if (running !== null || next === undefined) return;
    const { id, format, recordings } = next;
    const worker = threadTelling((told) => void hear(id, told));
    running = { id, worker };
    change(id, { state: 'running' });
    await swept;
    await mkdir(folderOf(id), { recursive: true, mode: 0o700 });
    const folders = recordings.map((recording) => recordingFolder(dataFolder, recording));
    worker.postMessage({
      kind: 'export',
      format,
      folders,
      out: folderOf(id),
    } satisfies ExportOrder);
  };
  const forgetOldest = (): void => {
    for (const id of surplusOf([...jobs.values()])) {
      jobs.delete(id);
      void rm(folderOf(id), { recursive: true, force: true });
    }
  };

  return {
    start(format, recordings) {
      const id = randomBytes(8).toString('hex');
      const job: ExportJob = {
        ...{ id, format, recordings, state: 'waiting', progress: 0, files: [], problems: [] },
      };
      jobs.set(id, job);
      forgetOldest();
      void startNext();
      return jobs.get(id) ?? job;
    },
    get: (id) => jobs.get(id) ?? null,
    list: () => [...jobs.values()].reverse(),
    async cancel(id) {
      const job = jobs.get(id);
      if (job === undefined || isEnded(job)) return job ?? null;
      const worker = running?.id === id ? running.worker : null;
      change(id, { state: 'cancelled', files: [] });
      await worker?.terminate();
      await rm(folderOf(id), { recursive: true, force: true });
      finish(id, {});
      return jobs.get(id) ?? null;
    },
    file(id, name) {
      const isThere = jobs.get(id)?.files.some((file) => file.name === name) === true;
      return isThere ? join(folderOf(id), name) : null;
    },
    close: async () => void (await running?.worker.terminate()),
  };
}

/** A thread that breaks tells that it failed. */
function threadTelling(tell: (told: ExportTold) => void): Worker {
  const worker = startWorker();
  worker.on('message', tell);
  worker.on('error', (error) => tell({ kind: 'failed', problem: error.message }));
  return worker;
}

function filesAt(paths: readonly string[]): Promise<ExportFile[]> {
  return Promise.all(
    paths.map(async (path) => ({ name: basename(path), bytes: (await stat(path)).size })),
  );
}

/** The oldest that have ended, so many as there are too many. */
function surplusOf(jobs: readonly ExportJob[]): string[] {
  const ended = jobs.filter(isEnded);
  return ended.slice(0, Math.max(0, jobs.length - MOST_JOBS)).map(({ id }) => id);
}

const isEnded = ({ state }: ExportJob): boolean => state !== 'waiting' && state !== 'running';
