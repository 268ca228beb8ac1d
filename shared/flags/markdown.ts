/** The README's table of flags, so that the table cannot drift from the lists. */
import { FLAG_KINDS, type FlagKind } from './flag.ts';
import { LIVE_FLAGS, OFFLINE_FLAGS } from './index.ts';

/** Flags that the reader of a table raises; they have no entry in the lists. */
const READ: Partial<Record<FlagKind, string>> = {
  duplicate: 'Rows with the time of the row before: the second of each was left out.',
  timeReversed: 'Time goes back: rows out of order, or a clock that started again.',
};

export function flagsMarkdown(): string {
  const rows = FLAG_KINDS.map((kind) => {
    const live = LIVE_FLAGS.find((flag) => flag.kind === kind);
    const offline = OFFLINE_FLAGS.find((flag) => flag.kind === kind);
    const when = live === undefined ? 'afterwards' : 'live and afterwards';
    const about = live?.about ?? offline?.about ?? READ[kind] ?? '';
    const priority = live?.priority ?? offline?.priority ?? 'medium';
    return `| \`${kind}\` | ${priority} | ${when} | ${about} |`;
  });
  return ['| flag | at most | seen | what it says |', '|---|---|---|---|', ...rows].join('\n');
}
