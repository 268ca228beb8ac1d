/** What the numbers of a recording stand on: one click away from every result. */
import * as v from 'valibot';
import { trustSchema } from '../../pipeline/results.ts';
import { Problem } from '../problem.ts';
import { jsonRoute, type Route, TAKES_NOTHING } from '../route.ts';

const trust = jsonRoute({
  ...TAKES_NOTHING,
  method: 'GET',
  url: '/api/recordings/{id}/trust',
  about:
    'Its trust record: polarity, calibration, tare, weight, delay, rate, holes, losses, speed, energy; ' +
    'a line for each in words: known, look (at it), or unknown.',
  path: v.strictObject({ id: v.pipe(v.string(), v.maxLength(96)) }),
  reply: trustSchema,
  problems: { 404: 'There is no such recording.' },
  run: ({ archive: { library } }, { path }) => {
    if (library.entry(path.id) === null) throw new Problem(404, 'There is no such recording.');
    return library.trust(path.id);
  },
});

export const TRUST_ROUTES: readonly Route[] = [trust];
