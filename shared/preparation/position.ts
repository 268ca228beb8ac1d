/**
 * Where chair, motor head and attachment stand: fields that the site defines, and what differs from last
 * time, also when last time was the other side. No number of a machine belongs to a joint pattern.
 */
import type { Side } from '../analysis-types.ts';

/** Where a field's letter stands in the drawing; `none`: in the table only. */
export const FIGURE_PLACES = [
  'backrest',
  'seatDepth',
  'seatHeight',
  'headHeight',
  'headTurn',
  'headTilt',
  'attachment',
  'limb',
  'support',
  'none',
] as const;
export type FigurePlace = (typeof FIGURE_PLACES)[number];

export interface PositionField {
  readonly name: string;
  readonly unit: string;
  /** Positive is to the right: the other side has the other sign. */
  readonly isMirrored: boolean;
  readonly group?: string | undefined;
  readonly place?: FigurePlace | undefined;
  readonly least?: number | undefined;
  readonly most?: number | undefined;
}

/** A start for a site that defined none; every one can be renamed, ranged or taken out. */
export const USUAL_FIELDS: readonly PositionField[] = [
  { group: 'Chair', name: 'Backrest', unit: '°', isMirrored: false, place: 'backrest' },
  {
    group: 'Chair',
    name: 'Seat, fore and aft',
    unit: 'mark',
    isMirrored: false,
    place: 'seatDepth',
  },
  { group: 'Chair', name: 'Seat height', unit: 'mark', isMirrored: false, place: 'seatHeight' },
  { group: 'Motor head', name: 'Height', unit: 'cm', isMirrored: false, place: 'headHeight' },
  { group: 'Motor head', name: 'Turn', unit: '°', isMirrored: true, place: 'headTurn' },
  { group: 'Motor head', name: 'Tilt', unit: '°', isMirrored: false, place: 'headTilt' },
  {
    group: 'Attachment and limb',
    name: 'Lever length',
    unit: 'cm',
    isMirrored: false,
    place: 'attachment',
  },
  { group: 'Attachment and limb', name: 'Next joint', unit: '°', isMirrored: false, place: 'limb' },
  {
    group: 'Attachment and limb',
    name: 'Support',
    unit: 'mark',
    isMirrored: false,
    place: 'support',
  },
];

export type PositionValues = Readonly<Record<string, number | string>>;

export interface PositionRow {
  readonly letter: string;
  readonly field: PositionField;
  readonly today: number | null;
  /** As it was then, on that side. */
  readonly then: number | null;
  readonly state: 'same' | 'differs' | 'mirrored' | 'open' | 'new';
  /** Today minus then, then turned to this side; null unless both are known. */
  readonly difference: number | null;
}

/** Settings are read from scales: nearer than this they are the same. */
const SAME = 1e-6;

/** Fields in their order; `then` null when there is no last time. */
export function comparePositions(
  fields: readonly PositionField[],
  today: PositionValues,
  then: { readonly values: PositionValues; readonly side: Side } | null,
  side: Side,
): readonly PositionRow[] {
  return fields.map((field, k) => {
    const now = numberOf(today[field.name]);
    const before = then ? numberOf(then.values[field.name]) : null;
    const isTurned = then !== null && then.side !== side && field.isMirrored;
    const expected = before === null ? null : isTurned ? -before : before;
    const difference = now === null || expected === null ? null : now - expected;
    return {
      letter: String.fromCharCode('A'.charCodeAt(0) + k),
      field,
      today: now,
      then: before,
      state: stateOf(now, expected, isTurned && before !== 0),
      difference,
    };
  });
}

function stateOf(
  now: number | null,
  expected: number | null,
  isTurned: boolean,
): PositionRow['state'] {
  if (now === null) return 'open';
  if (expected === null) return 'new';
  if (Math.abs(now - expected) > SAME) return 'differs';
  return isTurned ? 'mirrored' : 'same';
}

/** Last time's settings as they must be on this side. */
export function asLastTime(
  fields: readonly PositionField[],
  then: { readonly values: PositionValues; readonly side: Side },
  side: Side,
): Record<string, number> {
  return Object.fromEntries(
    fields.flatMap(({ name, isMirrored }) => {
      const value = numberOf(then.values[name]);
      if (value === null) return [];
      return [[name, isMirrored && then.side !== side && value !== 0 ? -value : value]];
    }),
  );
}

/** What is wrong with a typed value, in words; empty when nothing is. */
export function fieldTrouble({ name, unit, least, most }: PositionField, value: number): string {
  const says = (limit: number) => `${String(limit)} ${unit}`.trim();
  if (least !== undefined && value < least) return `${name} goes down to ${says(least)}.`;
  if (most !== undefined && value > most) return `${name} goes up to ${says(most)}.`;
  return '';
}

function numberOf(value: number | string | undefined): number | null {
  return typeof value === 'number' && Number.isFinite(value) ? value : null;
}
