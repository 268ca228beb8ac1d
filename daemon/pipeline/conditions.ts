/** What a person stated about a test, in the words of the set-up, of a recording and of an analysis. */
import * as v from 'valibot';
import type { Conditions } from '../../shared/analysis-types.ts';
import { gravitySchema } from '../../shared/catalogue/edits.ts';
import type { Conditions as Stated } from '../../shared/record/documents.ts';
import type { Setup } from '../../shared/wire/events.ts';

/** The set-up as a recording's start document keeps it. */
export function statedBy(setup: Setup): Stated {
  const { subject, pattern, side, mode, speed_degps, repetitions, torqueLimit_Nm } = setup;
  const [least, most] = setup.rangeLimits_deg;
  const stated = { subject, pattern, side, mode, speed_degps, repetitions, torqueLimit_Nm };
  return { ...stated, rangeLimits_deg: [least, most] };
}

/** The weight that was removed, where a recording states one that can be read. */
export function gravityIn(
  start: { readonly gravity: unknown } | null,
): Pick<Conditions, 'gravity'> {
  const gravity = v.safeParse(gravitySchema, start?.gravity);
  return gravity.success ? { gravity: gravity.output } : {};
}

/** What an analysis is told: while recording and of the recording, the very same. */
export function conditionsOf(stated: Stated): Conditions {
  const { pattern, side, mode, speed_degps, load_Nm, bodyMass_kg } = stated;
  const { rangeLimits_deg, torqueLimit_Nm } = stated;
  const hasSpeed = mode !== 'isometric' && mode !== 'isotonic';
  return {
    ...(pattern === undefined ? {} : { pattern }),
    ...(side === undefined ? {} : { side }),
    ...(mode === undefined ? {} : { mode }),
    ...(speed_degps === undefined || !hasSpeed ? {} : { speed_degps }),
    ...(load_Nm === undefined ? {} : { load_Nm }),
    ...(bodyMass_kg === undefined ? {} : { bodyMass_kg }),
    ...(rangeLimits_deg === undefined ? {} : { range_deg: rangeLimits_deg }),
    ...(torqueLimit_Nm === undefined ? {} : { torqueLimit_Nm }),
  };
}
