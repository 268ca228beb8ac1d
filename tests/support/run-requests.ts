/** A good request for each route of a run; whole sets are run by its system test. */
import { FIRST_SCREEN } from '../../shared/session/screen.ts';
import type { GoodRequest } from './catalogue-requests.ts';

const SET = { mode: 'isometric', repetitions: 3, rest_s: 60 };

/** After `close` no run is there that the others could change. */
export const runRequests: Readonly<Record<string, GoodRequest>> = {
  'POST /api/run': { body: { sets: [SET, SET] } },
  'POST /api/run/go': { refused: 409 },
  'POST /api/run/pause': { refused: 409 },
  'POST /api/run/end': { body: { reason: 'request' }, refused: 409 },
  'POST /api/run/abort': { refused: 409 },
  'POST /api/run/reason': { body: { reason: 'strap' }, refused: 409 },
  'POST /api/run/more': { refused: 409 },
  'POST /api/run/choose': { body: { set: 2 }, refused: 409 },
  'POST /api/run/repeat': { refused: 409 },
  'POST /api/run/score': { body: { scale: 'pain', value: 3 }, refused: 409 },
  'POST /api/run/adverse': { refused: 409 },
  'POST /api/run/decide': { body: { repetition: 9, counts: false }, refused: 409 },
  'POST /api/run/undo': { body: { who: 'T1' }, refused: 409 },
  'POST /api/run/adopt': { body: { who: 'T1' }, refused: 409 },
  'PUT /api/run/screen': { body: FIRST_SCREEN },
};
