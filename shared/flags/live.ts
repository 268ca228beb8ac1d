/** All live flags at once, for the pipeline. */
import type { Block } from '../block/block.ts';
import type { Flag } from './flag.ts';
import { type FlagWatcher, LIVE_FLAGS, type LiveContext } from './index.ts';
import { NO_FLAGS } from './ladder.ts';

/** Order within one answer: by time, then as listed; who needs one order over all sorts by time. */
export function watchLive(context: LiveContext): FlagWatcher {
  const watchers = LIVE_FLAGS.map((flag) => flag.create(context));
  return {
    push(block: Block) {
      let out: Flag[] | null = null;
      for (const watcher of watchers) {
        const flags = watcher.push(block);
        if (flags.length > 0) (out ??= []).push(...flags);
      }
      return out?.sort(byTime) ?? NO_FLAGS;
    },
    end: () => watchers.flatMap((watcher) => watcher.end()).sort(byTime),
  };
}

export function byTime(a: Flag, b: Flag): number {
  return a.start_s - b.start_s;
}
