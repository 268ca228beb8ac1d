/** A repetition's number with the word it needs, as short as its place allows. */
import { t } from './i18n/index.ts';
import type { LedgerRow } from './ledger.ts';

/** Pixels a word takes beside the number on the rail. */
const WORD_PX = 52;

export function wordOfRow(row: LedgerRow, width: number): string {
  const n = String(row.repetition);
  if (width < WORD_PX) return n;
  if (row.state === 'best') return `${n} ${t.sheet.best}`;
  if (row.state !== 'excluded') return n;
  return `${n} ${row.reasons.includes('shortRange') ? t.sheet.short : t.sheet.notCounted}`;
}
