/** All live flags at once, over blocks, for the pipeline. */
import type { QuantityName } from '../block/block.ts';
import { type FlagWatcher, LIVE_FLAGS, type LiveContext, type LiveFlag } from './index.ts';
import { createScanner, UNREAD } from './scan.ts';
import { together } from './watchers.ts';

/** What a watcher may look at without having said what of it is quiet. */
const HANDED_ON: readonly QuantityName[] = ['torque_Nm', 'angle_deg', 'velocity_degps'];

export function watchLive(
  context: LiveContext,
  flags: readonly LiveFlag[] = LIVE_FLAGS,
): FlagWatcher {
  const watcher = together(flags.map((flag) => flag.create(context)));
  const unread = HANDED_ON.map((name) => [name, UNREAD] as const);
  const scanner = createScanner(new Map([...unread, ...watcher.quiet]));
  return {
    push: (block) => watcher.push(scanner.scan(block)),
    end: () => watcher.end(),
  };
}
