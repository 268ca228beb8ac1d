/** Small parts of watchers. Blocks are 10-50 samples, so nothing is allocated where nothing is told. */
import type { Flag } from './flag.ts';
import type { QuantityName } from '../block/block.ts';
import type { Watcher } from './index.ts';
import { tenths } from './words.ts';
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

export interface ColumnWords {
  readonly name: string;
  /** As in identifiers: `Nm`. */
  readonly unit: string;
  /** A number with the unit as people read it: `3.2 N·m`. */
  readonly written: (value: number) => string;
}

/** `torque_Nm` is torque in Nm, written in N·m. */
export function columnWords(column: string): ColumnWords {
  const [name = column, unit = ''] = column.split('_');
  return { name, unit, written: (value) => `${tenths(value)}${SIGNS[unit] ?? ` ${unit}`}` };
}

const SIGNS: Readonly<Record<string, string>> = { Nm: ' N·m', deg: '°', degps: '°/s' };
