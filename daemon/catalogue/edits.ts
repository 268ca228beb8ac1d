/**
 * What people decided about a recording, read from its own folder: what an analysis and an export go by,
 * also where there is no database. The same decisions have the same key, so undo finds the old results.
 */
import { createHash } from 'node:crypto';
import { join } from 'node:path';
import * as v from 'valibot';
import type { Conditions } from '../../shared/analysis-types.ts';
import { foldEntries, type FoldedItem } from '../../shared/catalogue/fold.ts';
import { KINDS, type Body } from '../../shared/catalogue/kinds.ts';
import { canonicalJson } from '../../shared/recipe/recipe.ts';
import type { StartDocument } from '../../shared/record/documents.ts';
import { conditionsOf, gravityIn } from '../pipeline/conditions.ts';
import { EDITS_FILE } from '../store/file-names.ts';
import type { Recording } from '../store/recording.ts';
import { readEntries } from './entry-log.ts';

export interface Edits {
  /** Empty when nothing that changes a result was decided, else 16 hexadecimal digits of it. */
  readonly key: string;
  /** The same for everything decided, also what changes no result. */
  readonly itemsKey: string;
  /** Items about this recording that are there, by kind and id. */
  readonly items: readonly FoldedItem[];
  readonly decisions: readonly Body<'decision'>[];
  readonly boundaries: readonly Body<'boundary'>[];
  readonly assignment: Body<'assignment'> | null;
  /** What was stated of the recipe; null for the preset. */
  readonly recipe: Body<'analysis'>['recipe'] | null;
}

export function editsIn(folder: string): Edits {
  return editsOf(foldEntries(readEntries(join(folder, EDITS_FILE)).entries));
}

/** A body that an older or newer program wrote in another form is passed over. */
export function editsOf(items: readonly FoldedItem[]): Edits {
  const decisions = bodiesOf('decision', items);
  const boundaries = bodiesOf('boundary', items);
  const [assignment = null] = bodiesOf('assignment', items);
  const recipe = bodiesOf('analysis', items)[0]?.recipe ?? null;
  const assigned = without(assignment, ['recording', 'subject', 'session']);
  const relevant = { decisions, boundaries, assigned, recipe };
  const isNone =
    decisions.length + boundaries.length + Object.keys(assigned).length === 0 && recipe === null;
  const key = isNone ? '' : digestOf(relevant);
  const itemsKey = items.length === 0 ? '' : digestOf(items);
  return { key, itemsKey, items, decisions, boundaries, assignment, recipe };
}

function without(body: object | null, names: readonly string[]): Record<string, unknown> {
  const entries = Object.entries(body ?? {});
  return Object.fromEntries(
    entries.filter(([name, value]) => value !== undefined && !names.includes(name)),
  );
}

/** 16 hexadecimal digits: 64 bits of SHA-256 are plenty for the states of one recording. */
function digestOf(value: unknown): string {
  return createHash('sha256').update(canonicalJson(value)).digest('hex').slice(0, 16);
}

function bodiesOf<K extends 'decision' | 'boundary' | 'assignment' | 'analysis'>(
  kind: K,
  items: readonly FoldedItem[],
): Body<K>[] {
  return items.flatMap((item) => {
    const parsed = item.kind === kind ? v.safeParse(KINDS[kind], item.body) : null;
    return parsed?.success ? [parsed.output] : [];
  });
}

/** The start document as it should have been: what was stated, with what was assigned later. */
export function assignedStart(
  start: StartDocument | null,
  { assignment }: Edits,
): StartDocument | null {
  if (start === null || assignment === null) return start;
  const { gravity, wiring } = assignment;
  const given = without(assignment, ['recording', 'session', 'gravity', 'wiring']);
  return {
    ...start,
    conditions: { ...start.conditions, ...given },
    ...(gravity === undefined ? {} : { gravity: { ...gravity } }),
    ...(wiring === undefined ? {} : { wiring: { ...wiring } }),
  };
}

/** The recording as it should have been; its samples are the same. */
export function assignedRecording(recording: Recording, edits: Edits): Recording {
  return { ...recording, start: assignedStart(recording.start, edits) };
}

/** What an analysis of the assigned recording is told. */
export function editedConditions(start: StartDocument | null, edits: Edits): Conditions {
  const { decisions, boundaries } = edits;
  return {
    ...conditionsOf(start?.conditions ?? {}),
    ...gravityIn(start),
    ...(decisions.length > 0 ? { decisions } : {}),
    ...(boundaries.length > 0 ? { boundaries } : {}),
  };
}

/** What was decided so far about a recording that is still being made, for its provisional numbers. */
export function decidedIn(folder: string): Conditions {
  const edits = editsIn(folder);
  const { decisions, boundaries, assignment } = edits;
  const { mode, speed_degps } = assignment ?? {};
  return {
    ...(decisions.length > 0 ? { decisions } : {}),
    ...(boundaries.length > 0 ? { boundaries } : {}),
    ...(mode === undefined ? {} : { mode }),
    ...(speed_degps === undefined ? {} : { speed_degps }),
  };
}
