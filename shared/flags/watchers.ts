/** Small parts of watchers. Blocks are 10-50 samples, so nothing is allocated where nothing is told. */
import type { Flag } from './flag.ts';
import type { QuantityName } from '../block/block.ts';
import type { Watcher } from './index.ts';
import { ANY, narrower, type Quiet } from './scan.ts';

export const NO_FLAGS: readonly Flag[] = [];

/** Several watchers as one, their flags in the watchers' order. */
export function together(watchers: readonly Watcher[]): Watcher {
  return {
    quiet: quietForAll(watchers),
    push(scan) {
      let out: Flag[] | null = null;
      for (const watcher of watchers) {
        const flags = watcher.push(scan);
        if (flags.length > 0) (out ??= []).push(...flags);
      }
      return out ?? NO_FLAGS;
    },
    end: () => watchers.flatMap((watcher) => watcher.end()),
  };
}

function quietForAll(watchers: readonly Watcher[]): ReadonlyMap<QuantityName, Quiet> {
  const all = new Map<QuantityName, Quiet>();
  for (const { quiet } of watchers) {
    for (const [name, one] of quiet) all.set(name, narrower(all.get(name) ?? ANY, one));
  }
  return all;
}

/** Name and unit of a column, as words: `torque_Nm` is torque in N·m. */
export function columnWords(column: string): { readonly name: string; readonly unit: string } {
  const [name = column, suffix = ''] = column.split('_');
  return { name, unit: UNITS[suffix] ?? suffix };
}

const UNITS: Readonly<Record<string, string>> = { Nm: 'N·m', deg: '°', degps: '°/s' };
