/** Routes of the codes: who may come in, and as what. A code is told once, when it is made. */
import * as v from 'valibot';
import { ROLES } from '../../access/roles.ts';
import { Problem } from '../problem.ts';
import { jsonRoute, type Route, TAKES_NOTHING } from '../route.ts';

const role = v.picklist(ROLES);
const MINUTES = 10;

const read = jsonRoute({
  ...TAKES_NOTHING,
  method: 'GET',
  url: '/api/access',
  about: 'Whether this station asks for a code; it does once a tester’s code was made.',
  reply: v.strictObject({ isClosed: v.boolean() }),
  run: ({ access }) => ({ isClosed: access.isClosed }),
});

const list = jsonRoute({
  ...TAKES_NOTHING,
  method: 'GET',
  url: '/api/access/codes',
  about: 'The codes that were made, without the codes themselves.',
  reply: v.strictObject({
    codes: v.array(v.strictObject({ id: v.string(), role, madeAt: v.string() })),
  }),
  run: ({ access }) => ({ codes: access.codes.map((code) => ({ ...code })) }),
});

const create = jsonRoute({
  ...TAKES_NOTHING,
  method: 'POST',
  url: '/api/access/codes',
  about: 'Makes a code and tells it this once; the first must be the tester’s.',
  body: v.strictObject({ role }),
  reply: v.strictObject({ id: v.string(), token: v.string() }),
  status: 201,
  problems: { 409: 'The tester’s code comes first, or there are too many.' },
  run: async ({ access }, { body }) => {
    const made = await access.create(body.role);
    if (typeof made === 'string') throw new Problem(409, made);
    return { ...made };
  },
});

const revoke = jsonRoute({
  ...TAKES_NOTHING,
  method: 'POST',
  url: '/api/access/codes/{id}/revoke',
  about: 'Takes a code back; screens that came in by it are shut at once.',
  path: v.strictObject({ id: v.pipe(v.string(), v.maxLength(32)) }),
  reply: v.strictObject({ revoked: v.literal(true) }),
  problems: { 409: 'There is no such code, or others would be left without a tester.' },
  run: async ({ access }, { path }) => {
    if (!(await access.revoke(path.id))) {
      throw new Problem(409, 'There is no such code, or others would be left without a tester.');
    }
    return { revoked: true as const };
  },
});

const pair = jsonRoute({
  ...TAKES_NOTHING,
  method: 'POST',
  url: '/api/access/pair',
  about: 'Six digits to type on another screen, good once.',
  body: v.strictObject({ role }),
  reply: v.strictObject({ code: v.string(), minutes: v.number() }),
  problems: { 409: 'The tester’s code comes first.' },
  run: ({ access }, { body }) => {
    if (!access.isClosed) throw new Problem(409, 'Make the tester’s code first.');
    return { code: access.pair(body.role), minutes: MINUTES };
  },
});

const enter = jsonRoute({
  ...TAKES_NOTHING,
  method: 'POST',
  url: '/api/access/enter',
  about: 'Gives the token for six digits or for a code; after many wrong ones everybody waits.',
  body: v.strictObject({ code: v.pipe(v.string(), v.trim(), v.minLength(6), v.maxLength(64)) }),
  reply: v.strictObject({ token: v.string(), role }),
  problems: { 409: 'The code is wrong, used or too old.' },
  run: async ({ access }, { body }) => {
    const entered = await access.enter(body.code);
    if (!entered) throw new Problem(409, 'The code is wrong, used or too old.');
    return { ...entered };
  },
});

export const ACCESS_ROUTES: readonly Route[] = [read, list, create, revoke, pair, enter];
