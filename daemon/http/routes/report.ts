/** Routes of the report: what stands on its page beside the numbers that the page computes. */
import * as v from 'valibot';
import { reportFacts } from '../../pipeline/report-facts.ts';
import { Problem } from '../problem.ts';
import { jsonRoute, type Route, TAKES_NOTHING } from '../route.ts';

const text = v.string();
const numberOrNull = v.nullable(v.number());
const effort = {
  ...{ effort: text, direction: text, action: text },
  speed_degps: numberOrNull,
};

export const reportSchema = v.object({
  id: text,
  recordings: v.array(
    v.object({
      ...{ id: text, name: text, startedAt: text, station: text, software: text },
      ...{ subject: text, pattern: text, side: text, mode: text },
      isSimulated: v.boolean(),
      nPositions: v.number(),
      before: v.nullable(
        v.object({
          startedAt: text,
          efforts: v.array(v.object({ ...effort, bestPeakTorque_Nm: numberOrNull })),
        }),
      ),
      cautions: v.array(text),
    }),
  ),
  subject: v.nullable(
    v.object({
      ...{ age_years: numberOrNull, bodyMass_kg: numberOrNull, height_cm: numberOrNull },
      ...{ sex: text, dominantSide: text },
    }),
  ),
  errors: v.array(v.object({ pattern: text, ...effort, mdc95_Nm: v.number(), nPairs: v.number() })),
});

const report = jsonRoute({
  ...TAKES_NOTHING,
  method: 'GET',
  url: '/api/reports/{id}',
  about:
    'What a report of recordings is told: ids with commas between, or a session; the same test on an ' +
    'earlier day, and the measurement error of this site from its own retests.',
  path: v.strictObject({ id: v.pipe(text, v.maxLength(1200)) }),
  reply: reportSchema,
  problems: { 404: 'There is no such recording or session.' },
  run: async ({ archive }, { path }) => {
    const facts = await reportFacts(archive, path.id);
    if (facts === null) throw new Problem(404, 'There is no such recording or session.');
    return v.parse(reportSchema, facts);
  },
});

export const REPORT_ROUTES: readonly Route[] = [report];
