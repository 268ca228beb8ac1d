/** The run that a station is at, kept in its data folder: a restart of the daemon goes on from it. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import * as v from 'valibot';
import { EARLY_REASONS, NO_RUN, type RunState, TROUBLES } from '../../shared/session/run.ts';
import { FIRST_SCREEN, type Screen, screenSchema } from '../../shared/session/screen.ts';
import { replaceFile } from '../platform.ts';

const NAME = 'run.json';

const score = v.nullable(v.number());
const count = v.pipe(v.number(), v.integer(), v.minValue(0));
const how = v.picklist(['complete', 'early', 'aborted', 'interrupted']);
const reason = v.nullable(v.picklist(EARLY_REASONS));

const plannedSet = v.strictObject({
  mode: v.picklist(['isokinetic', 'isotonic', 'isometric', 'passive']),
  speed_degps: v.number(),
  load_Nm: v.nullable(v.number()),
  angle_deg: v.nullable(v.number()),
  repetitions: count,
  rest_s: v.number(),
  isFamiliarisation: v.boolean(),
  rangeLimits_deg: v.nullable(v.strictTuple([v.number(), v.number()])),
});

const stateSchema = v.strictObject({
  stage: v.picklist(['none', 'ready', 'countdown', 'opening', 'set', 'closing', 'rest', 'done']),
  plan: v.nullable(
    v.strictObject({ name: v.string(), agreeWithin_pct: v.number(), sets: v.array(plannedSet) }),
  ),
  set: count,
  recording: v.string(),
  until_ms: v.number(),
  isPaused: v.boolean(),
  repetitions: count,
  reached_ms: v.nullable(v.number()),
  ending: v.nullable(v.strictObject({ how, reason })),
  nAdverse: count,
  outcomes: v.array(
    v.strictObject({
      ...{ set: count, recording: v.string(), how, reason, repetitions: count, of: count },
      ...{ pain: score, exertion: score, nAdverse: count },
    }),
  ),
  trouble: v.picklist(TROUBLES),
  detail: v.string(),
}) satisfies v.GenericSchema<unknown, RunState>;

const keptSchema = v.strictObject({
  keptAt: v.pipe(v.string(), v.isoTimestamp()),
  state: stateSchema,
  screen: screenSchema,
});

export interface KeptRun {
  readonly state: RunState;
  readonly screen: Screen;
  /** Milliseconds since it was kept, by the wall clock; never below 0. */
  readonly away_ms: number;
}

/** None where there is none, or none that can be read: then no set is under way. */
export function readRun(dataFolder: string, now: Date): KeptRun {
  try {
    const text = readFileSync(join(dataFolder, NAME), 'utf8');
    const { keptAt, state, screen } = v.parse(keptSchema, JSON.parse(text));
    return { state, screen, away_ms: Math.max(0, now.getTime() - Date.parse(keptAt)) };
  } catch {
    return { state: NO_RUN, screen: FIRST_SCREEN, away_ms: 0 };
  }
}

export function keepRun(
  dataFolder: string,
  { state, screen }: Omit<KeptRun, 'away_ms'>,
  now: Date,
): Promise<void> {
  const kept = { keptAt: now.toISOString(), state, screen };
  return replaceFile(join(dataFolder, NAME), `${JSON.stringify(kept)}\n`);
}
