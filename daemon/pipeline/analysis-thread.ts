/**
 * The thread that analyses: an analysis takes tens of milliseconds, the live stream waits for nobody.
 * Started when first needed; asked one thing at a time; when it breaks, the next question starts another.
 */
import { Worker } from 'node:worker_threads';
import type { AnalysisAnswer, AnalysisQuestion } from './analyst.ts';

export interface AnalysisThread {
  /** The document, or why there is none; also when the thread broke or is being closed. */
  ask(question: AnalysisQuestion): Promise<AnalysisAnswer>;
  close(): Promise<void>;
}

export function createAnalysisThread(): AnalysisThread {
  let worker: Worker | null = null;
  let waiting: ((answer: AnalysisAnswer) => void)[] = [];

  const failAll = (problem: string): void => {
    const failed = waiting;
    waiting = [];
    worker = null;
    for (const resolve of failed) resolve({ problem });
  };
  const start = (): Worker => {
    const started = startWorker();
    started.on('message', (answer: AnalysisAnswer) => waiting.shift()?.(answer));
    started.on('error', (error) => failAll(error.message));
    started.on('exit', () => {
      if (worker === started) failAll('the analysis thread ended');
    });
    started.unref();
    return started;
  };

  return {
    ask(question) {
      worker ??= start();
      worker.postMessage(question);
      return new Promise((resolve) => waiting.push(resolve));
    },
    async close() {
      const ending = worker;
      failAll('the station is closing');
      await ending?.terminate();
    },
  };
}

/** In the bundle it stands beside us; from the sources it is TypeScript, which a thread must be taught. */
export function startWorker(): Worker {
  if (!import.meta.url.endsWith('.ts')) return new Worker(new URL('./analyst.js', import.meta.url));
  const loader = import.meta.resolve('tsx/esm/api');
  const analyst = import.meta.resolve('./analyst.ts');
  const script = `import('${loader}').then(({ register }) => (register(), import('${analyst}')))`;
  return new Worker(script, { eval: true });
}
