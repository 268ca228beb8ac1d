/**
 * Routes of the catalogue: the same six for every kind of item, the audit trail, and taking back.
 * Who changes an item names the revision that was read; a newer one is told as 409 with both versions.
 */
import * as v from 'valibot';
import { entrySchema } from '../../../shared/catalogue/entry.ts';
import { code } from '../../../shared/catalogue/fields.ts';
import { KIND_NAMES, KINDS, type Body, type Kind } from '../../../shared/catalogue/kinds.ts';
import { Conflict, Misfit, NotThere } from '../../catalogue/catalogue.ts';
import { diskTrouble } from '../../store/disk-trouble.ts';
import { Problem } from '../problem.ts';
import { jsonRoute, type Route, TAKES_NOTHING } from '../route.ts';

/** Entries told at once; the page asks for the next ones. */
const MOST_ENTRIES = 1000;

const PLURALS: Readonly<Record<Kind, string>> = {
  subject: 'subjects',
  session: 'sessions',
  station: 'stations',
  calibration: 'calibrations',
  position: 'positions',
  weighing: 'weighings',
  polarity: 'polarities',
  protocol: 'protocols',
  decision: 'decisions',
  boundary: 'boundaries',
  assignment: 'assignments',
  analysis: 'analyses',
  retention: 'retentions',
  removal: 'removals',
  note: 'notes',
};
/** Made by deleting a recording and by nothing else. */
const READ_ONLY: readonly Kind[] = ['removal'];

/** Code of the person, never a name. */
export const who = code;
const revision = v.pipe(v.number(), v.integer(), v.minValue(0));
const byId = v.strictObject({ id: v.pipe(v.string(), v.maxLength(200)) });
const CONFLICT = 'Somebody changed it in the meantime; both versions are in the reply.';
const MISSING = 'There is no such item.';

export function itemSchema<K extends Kind>(kind: K) {
  return v.strictObject({
    kind: v.literal(kind),
    id: v.string(),
    revision,
    createdAt: v.string(),
    changedAt: v.string(),
    body: v.looseObject({}),
  });
}

/** Runs a change; what the catalogue refuses becomes a problem with the reason. */
export function told<T>(yours: unknown, change: () => T): T {
  try {
    return change();
  } catch (error) {
    if (error instanceof Conflict) {
      const { theirs, revision: now } = error;
      throw new Problem(409, error.message, { theirs, yours, revision: now });
    }
    if (error instanceof NotThere) throw new Problem(404, error.message);
    if (error instanceof Misfit) throw new Problem(400, error.message);
    if (error instanceof Error && 'syscall' in error) {
      throw new Problem(507, `It was not saved: ${diskTrouble(error).words}.`);
    }
    throw error;
  }
}

function routesOf<K extends Kind>(kind: K): Route[] {
  const url = `/api/${PLURALS[kind]}` as const;
  const reply = itemSchema(kind);
  const body = KINDS[kind];
  const list = jsonRoute({
    ...TAKES_NOTHING,
    method: 'GET',
    url,
    about: `Every ${kind} of the catalogue, in the order of creation.`,
    reply: v.strictObject({ items: v.array(itemSchema(kind)) }),
    run: ({ archive: { catalogue } }) => ({
      items: catalogue.list(kind).map((item) => ({ ...item, kind })),
    }),
  });
  const create = jsonRoute({
    ...TAKES_NOTHING,
    method: 'POST',
    url,
    about: `Adds a ${kind}.`,
    body: v.strictObject({ who, body }),
    reply,
    status: 201,
    problems: { 404: 'The recording it belongs to is not here.', 409: CONFLICT },
    run: ({ archive: { catalogue } }, { body: sent }) =>
      told(sent.body, () => {
        const item = catalogue.create(kind, asBody(kind, sent.body), v.parse(who, sent.who));
        return { ...item, kind };
      }),
  });
  const read = jsonRoute({
    ...TAKES_NOTHING,
    method: 'GET',
    url: `${url}/{id}`,
    about: `One ${kind}.`,
    path: byId,
    reply,
    problems: { 404: MISSING },
    run: ({ archive: { catalogue } }, { path }) => {
      const item = catalogue.get(kind, path.id);
      if (!item) throw new Problem(404, `There is no ${kind} ${path.id}.`);
      return { ...item, kind };
    },
  });
  const change = jsonRoute({
    ...TAKES_NOTHING,
    method: 'PUT',
    url: `${url}/{id}`,
    about: `Changes a ${kind}, from the revision that was read; null as body removes it.`,
    path: byId,
    body: v.strictObject({ who, base: revision, body: v.nullable(body) }),
    reply: v.strictObject({ item: v.nullable(itemSchema(kind)) }),
    problems: { 404: MISSING, 409: CONFLICT },
    run: ({ archive: { catalogue } }, { path, body: { who: by, base, body: given } }) =>
      told(given, () => {
        const next = given === null ? null : asBody(kind, given);
        const item = catalogue.change(kind, path.id, { body: next, base, who: by });
        return { item: item && { ...item, kind } };
      }),
  });
  return READ_ONLY.includes(kind) ? [list] : [list, create, read, change];
}

/** The route's schema is the kind's own, so what passed it is a body of the kind. */
function asBody<K extends Kind>(kind: K, given: unknown): Body<K> {
  return v.parse(KINDS[kind], given);
}

const auditRow = v.strictObject({
  ...entrySchema.entries,
  id: v.string(),
  state: v.picklist(['applied', 'conflict']),
});
export const countText = v.pipe(
  v.string(),
  v.regex(/^\d{1,9}$/, 'needs a whole number'),
  v.transform(Number),
);

const audit = jsonRoute({
  ...TAKES_NOTHING,
  method: 'GET',
  url: '/api/audit',
  about: 'Who changed what and when, newest first, with the version before and after.',
  query: v.strictObject({
    kind: v.optional(v.picklist(KIND_NAMES)),
    item: v.optional(v.string()),
    recording: v.optional(v.string()),
    state: v.optional(v.picklist(['applied', 'conflict'])),
    limit: v.optional(countText),
    offset: v.optional(countText),
  }),
  reply: v.strictObject({ entries: v.array(auditRow) }),
  run: ({ archive: { catalogue } }, { query: { limit = 100, offset = 0, ...filter } }) => ({
    entries: catalogue.audit({ ...filter, limit: Math.min(limit, MOST_ENTRIES), offset }),
  }),
});

const undo = jsonRoute({
  ...TAKES_NOTHING,
  method: 'POST',
  url: '/api/audit/{id}/undo',
  about: 'Takes an entry back by a new entry; taking that one back is the redo.',
  path: byId,
  body: v.strictObject({ who }),
  reply: auditRow,
  problems: { 404: 'There is no such entry.', 409: CONFLICT },
  run: ({ archive: { catalogue } }, { path, body }) =>
    told(null, () => catalogue.undo(path.id, body.who)),
});

export const CATALOGUE_ROUTES: readonly Route[] = [
  ...KIND_NAMES.flatMap((kind) => routesOf(kind)),
  audit,
  undo,
];
