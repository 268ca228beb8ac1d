/** A good request for each route of the preparation; a whole weighing is tried by its system test. */
import type { GoodRequest } from './catalogue-requests.ts';

export const preparationRequests: Readonly<Record<string, GoodRequest>> = {
  'POST /api/weighing': { body: { method: 'hold', horizontalAt_deg: -30 } },
  'POST /api/weighing/drop': { body: { number: 1 } },
  'POST /api/weighing/use': { body: { who: 'T1' }, refused: 409 },
  'POST /api/weighing/discard': { body: { who: 'T1' }, refused: 409 },
  'POST /api/calibration': {
    body: { masses_kg: [5, 10, 15], arm_m: 0.5, isBothWays: true, toMeasure_Nm: 70 },
  },
  'POST /api/calibration/mass': { body: { number: 3, mass_kg: 15.2 } },
  'POST /api/calibration/accept': { body: { who: 'T1' }, refused: 409 },
};
