/**
 * What the tester decides about repetitions while a run goes on: rejected, restored, taken back. Each is an
 * item of the catalogue like any other decision; the ledger is told anew after it.
 */
import type { Phase } from '../../shared/analysis-types.ts';
import type { Body } from '../../shared/catalogue/kinds.ts';
import type { Ledger } from '../../shared/wire/events.ts';
import type { Catalogue } from '../catalogue/catalogue.ts';

/** Steps back that are remembered; a session has fewer. */
const MOST_UNDO = 100;

export interface DecisionOptions {
  readonly catalogue: Catalogue;
  readonly newest: () => Ledger | null;
  /** Phases of a recording as they are by the decisions of now; asked when the set is over. */
  readonly results: (recording: string) => Promise<readonly Phase[] | null>;
  /** Id of the recording under way. */
  readonly current: () => string | null;
  /** The set under way is to be analysed anew. */
  readonly reanalyse: () => void;
  readonly tell: (ledger: Ledger) => void;
  readonly trouble: (what: string, reason: string) => void;
}

export interface DecisionDesk {
  readonly nUndo: number;
  /** Rejects a repetition of the newest ledger, or lets it count. Why not, or null when it is saved. */
  decide(decision: {
    readonly repetition: number;
    readonly counts: boolean;
    readonly reason: string;
    readonly who: string;
  }): string | null;
  undo(who: string): string | null;
  /** States anew what was done, where the start document had it wrong. */
  assign(recording: string, stated: Omit<Body<'assignment'>, 'recording'>, who: string): void;
  /** Keeps what the subject says about a recording as a note, one a topic. */
  say(recording: string, topic: string, text: string, who: string): void;
}

export function createDecisionDesk(options: DecisionOptions): DecisionDesk {
  const { catalogue, newest, results, current, reanalyse, tell, trouble } = options;
  /** Entries of each step, to be taken back together. */
  let steps: (readonly string[])[] = [];

  const put = <K extends 'decision' | 'assignment'>(
    kind: K,
    id: string,
    body: Body<K> | null,
    who: string,
  ): string => {
    const item = catalogue.get(kind, id);
    if (item) catalogue.change(kind, id, { body, base: item.revision, who });
    else if (body) catalogue.create(kind, body, who);
    const [entry] = catalogue.audit({ kind, item: id, limit: 1, offset: 0 });
    return entry?.id ?? '';
  };
  const told = (recording: string): void => {
    if (recording === current()) {
      reanalyse();
      return;
    }
    results(recording)
      .then((phases) => {
        if (phases && newest()?.recording === recording) {
          tell({ recording, finality: 'settled', phases });
        }
      })
      .catch((error: unknown) => trouble('ledger not told anew', String(error)));
  };

  return {
    get nUndo() {
      return steps.length;
    },
    decide({ repetition, counts, reason, who }) {
      const ledger = newest();
      const phases = ledger?.phases.filter((phase) => phase.repetition === repetition) ?? [];
      if (!ledger || phases.length === 0) return `There is no repetition ${repetition} yet.`;
      const { recording } = ledger;
      const entries = phases.map(({ direction, start_s, end_s, reasons }) => {
        const id = `${recording}:${repetition}:${direction}`;
        const isOwnOnly = reasons.every((one) => one === 'rejected');
        const at_s = (start_s + end_s) / 2;
        const body = { recording, repetition, direction, at_s, counts, reason };
        // Letting count what only a person rejected takes the decision away.
        const isThere = catalogue.get('decision', id) !== null;
        return put('decision', id, counts && isOwnOnly && isThere ? null : body, who);
      });
      steps = [...steps, entries].slice(-MOST_UNDO);
      told(recording);
      return null;
    },
    undo(who) {
      const entries = steps.at(-1);
      if (!entries) return 'There is nothing to take back.';
      steps = steps.slice(0, -1);
      for (const entry of entries.toReversed()) catalogue.undo(entry, who);
      const recording = newest()?.recording;
      if (recording !== undefined) told(recording);
      return null;
    },
    assign(recording, stated, who) {
      const before = catalogue.get('assignment', recording)?.body ?? {};
      put('assignment', recording, { ...before, ...stated, recording }, who);
      told(recording);
    },
    say(recording, topic, text, who) {
      const about = catalogue
        .list('note')
        .find(({ body }) => body['about'] === recording && isTagged(body['tags'], topic));
      const body = { about: recording, text, tags: [topic] };
      if (about) catalogue.change('note', about.id, { body, base: about.revision, who });
      else catalogue.create('note', body, who);
    },
  };
}

function isTagged(tags: unknown, topic: string): boolean {
  return Array.isArray(tags) && tags.includes(topic);
}
