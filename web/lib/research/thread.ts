/** Starts the thread that analyses; the bundler finds it by this very form of words. */

export function startRecompute(): Worker {
  return new Worker(new URL('./recompute.ts', import.meta.url), { type: 'module' });
}
