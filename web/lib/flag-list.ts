/**
 * The flags in the order in which a person should look at them, those of one kind together: ten times
 * the same is one thing to look at. And the way to acknowledge them.
 */
import type { Flag, FlagKind, Priority } from '../../shared/flags/flag.ts';
import { ask, done, type Answer } from './api.ts';

export type ShownFlag = Flag & { readonly id: number; readonly acknowledged: boolean };

export interface FlagGroup {
  readonly kind: FlagKind;
  readonly priority: Priority;
  /** Newest first; at least one. */
  readonly flags: readonly ShownFlag[];
  readonly newest: ShownFlag;
}

const LOUDNESS: Readonly<Record<Priority, number>> = { high: 0, medium: 1, low: 2 };

/** Those not acknowledged yet: high before medium before low, newest first within. */
export function openGroups(flags: readonly ShownFlag[]): readonly FlagGroup[] {
  const groups: FlagGroup[] = [];
  const open = flags.filter((flag) => !flag.acknowledged).toSorted((a, b) => b.id - a.id);
  for (const flag of open) {
    const { kind, priority } = flag;
    const at = groups.findIndex((group) => group.kind === kind && group.priority === priority);
    const group = groups[at];
    if (group) groups[at] = { ...group, flags: [...group.flags, flag] };
    else groups.push({ kind, priority, flags: [flag], newest: flag });
  }
  return groups.sort(
    (a, b) => LOUDNESS[a.priority] - LOUDNESS[b.priority] || b.newest.id - a.newest.id,
  );
}

/** Good when the daemon took all of them; else its first complaint. */
export async function acknowledge({ flags }: FlagGroup): Promise<Answer<true>> {
  const answers = await Promise.all(
    flags.map(({ id }) => ask(`/api/flags/${id}/acknowledge`, done, { method: 'POST' })),
  );
  return answers.find(({ isGood }) => !isGood) ?? { isGood: true, value: true };
}
