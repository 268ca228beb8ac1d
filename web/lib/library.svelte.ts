/** The list of recordings on the desk: read again while it is looked at, filtered here. */
import { patternById } from '../../shared/joints/index.ts';
import { ask } from './api.ts';
import { desk } from './i18n/desk.ts';
import { t } from './i18n/index.ts';
import { type Entry, readEntries } from './recordings.ts';
import { capital } from './words.ts';

/** A recording that ends elsewhere appears within this time. */
const AGAIN_MS = 4000;

export const FACETS = ['pattern', 'side', 'mode', 'status'] as const;
export type Facet = (typeof FACETS)[number];

export class Library {
  entries = $state.raw<readonly Entry[] | null>(null);
  problem = $state('');
  find = $state('');
  /** Values that are switched off, a facet. */
  hidden = $state.raw<Readonly<Record<Facet, readonly string[]>>>({
    pattern: [],
    side: [],
    mode: [],
    status: [],
  });
  private timer = 0;

  constructor() {
    void this.read();
    this.timer = window.setInterval(() => {
      if (document.visibilityState === 'visible') void this.read();
    }, AGAIN_MS);
  }

  get shown(): readonly Entry[] {
    const wanted = this.find.trim().toLowerCase();
    return (this.entries ?? []).filter(
      (entry) =>
        FACETS.every((facet) => !this.hidden[facet].includes(entry[facet])) &&
        (wanted === '' || wordsOf(entry).includes(wanted)),
    );
  }

  close(): void {
    clearInterval(this.timer);
  }

  async read(): Promise<void> {
    const answer = await ask('/api/recordings', readEntries);
    if (!answer.isGood) {
      this.problem = answer.problem;
      return;
    }
    this.problem = '';
    const isSame = JSON.stringify(answer.value) === JSON.stringify(this.entries);
    if (!isSame) this.entries = answer.value;
  }

  turn(facet: Facet, value: string): void {
    const off = this.hidden[facet];
    const next = off.includes(value) ? off.filter((other) => other !== value) : [...off, value];
    this.hidden = { ...this.hidden, [facet]: next };
  }

  showAll(): void {
    this.find = '';
    this.hidden = { pattern: [], side: [], mode: [], status: [] };
  }

  /** Values of a facet that occur, with how often. */
  values(facet: Facet): readonly { readonly value: string; readonly n: number }[] {
    const counts: Record<string, number> = {};
    for (const entry of this.entries ?? []) {
      const value = entry[facet];
      if (value !== '') counts[value] = (counts[value] ?? 0) + 1;
    }
    return Object.entries(counts)
      .map(([value, n]) => ({ value, n }))
      .sort((a, b) => b.n - a.n);
  }
}

export function patternName(id: string): string {
  return patternById(id)?.name ?? id;
}

/** `Ankle PF\u2013DF` for tight columns; shown with the full name as its title. */
export function patternShort(id: string): string {
  const pattern = patternById(id);
  if (!pattern) return id;
  return `${capital(pattern.joint)} ${pattern.fallingShort}\u2013${pattern.risingShort}`;
}

/** A facet's value in words. */
export function facetWord(facet: Facet, value: string): string {
  if (facet === 'pattern') return patternShort(value);
  const words: Readonly<Record<string, string>> =
    facet === 'mode'
      ? t.mode
      : facet === 'status'
        ? desk.library.statusWord
        : { left: t.left, right: t.right };
  return words[value] ?? value;
}

function wordsOf(entry: Entry): string {
  return `${entry.name} ${entry.subject} ${patternName(entry.pattern)} ${entry.side}`.toLowerCase();
}
