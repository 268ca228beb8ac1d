/** The README's table of flags, so that the table cannot drift from the lists. */
import { FLAG_KINDS, type FlagKind, type Priority } from './flag.ts';
import { LIVE_FLAGS, OFFLINE_FLAGS } from './index.ts';

interface Row {
  readonly priority: Priority;
  readonly about: string;
}

/** Flags that the reader of a table raises; they have no entry in the lists. */
const READ: Partial<Record<FlagKind, Row>> = {
  duplicate: {
    priority: 'low',
    about: 'Rows with the time of the row before: the second of each was left out.',
  },
  timeReversed: {
    priority: 'medium',
    about: 'Time goes back: rows out of order, or a clock that started again.',
  },
};

export function flagsMarkdown(): string {
  const rows = FLAG_KINDS.map((kind) => {
    const live: Row | undefined = LIVE_FLAGS.find((flag) => flag.kind === kind);
    const row = live ?? OFFLINE_FLAGS.find((flag) => flag.kind === kind) ?? READ[kind];
    const seen = live === undefined ? 'afterwards' : 'live and afterwards';
    return `| \`${kind}\` | ${row?.priority ?? ''} | ${seen} | ${row?.about ?? ''} |`;
  });
  return ['| flag | at most | seen | what it says |', '|---|---|---|---|', ...rows].join('\n');
}
