/** A good request for each route of the codes; who may what is tried by its system test. */
import type { GoodRequest } from './catalogue-requests.ts';

/** Nothing here closes the station: the other routes are asked without a code. */
export const accessRequests: Readonly<Record<string, GoodRequest>> = {
  'POST /api/access/codes': { body: { role: 'subject' }, refused: 409 },
  'POST /api/access/codes/{id}/revoke': { refused: 409 },
  'POST /api/access/pair': { body: { role: 'subject' }, refused: 409 },
  'POST /api/access/enter': { body: { code: '000000' }, refused: 409 },
};
