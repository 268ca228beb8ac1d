/** A good request for each route of the catalogue: for the contract of the API and for its system tests. */
import * as v from 'valibot';

export interface GoodRequest {
  readonly url?: () => string | Promise<string>;
  readonly body?: unknown;
  /** It is refused with this status, because what it needs takes longer than a contract test. */
  readonly refused?: 409;
}

interface Place {
  /** Of the station, without a slash at the end. */
  readonly url: string;
  /** A closed recording. */
  readonly recording: string;
}

/** A body of each kind; `recording` is asked for when it is sent. */
export const bodiesFor = (recording: string): Readonly<Record<string, object>> => ({
  subjects: { code: 'SH-03', bodyMass_kg: 74, notes: '=1+1 <b>é</b> "quoted"\n' },
  sessions: {
    subject: 'SH-03',
    station: 'North',
    startedAt: '2026-11-25T13:00:00.000Z',
    visit: 'second',
    condition: 'after warming up',
  },
  stations: { name: 'North', outputSettings: { torqueRange: '500' } },
  calibrations: {
    ...{ station: 'North', channel: 'ai0', slope: 99.73, offset: -0.2 },
    ...{ unit: 'Nm', date: '2026-11-20' },
  },
  positions: {
    ...{ subject: 'SH-03', pattern: 'ankle-plantarflexion-dorsiflexion', side: 'right' },
    values: { seat_cm: 41.5 },
  },
  weighings: {
    ...{ subject: 'SH-03', pattern: 'ankle-plantarflexion-dorsiflexion', side: 'right' },
    ...{ station: 'North', at: '2026-11-20T13:57:00.000Z', method: 'sweep', use: 'removed' },
    gravity: { kind: 'sinusoid', amplitude_Nm: 4, horizontalAt_deg: -30, offset_Nm: 0 },
    ...{ range_deg: [-35, 15], rmsResidual_Nm: 0.3, apart_Nm: 0.7, verdict: 'plausible' },
    ...{ reference_deg: 0, atReference_Nm: -3.5, sweeps: [], holds: [] },
  },
  polarities: {
    ...{ subject: 'SH-03', pattern: 'ankle-plantarflexion-dorsiflexion', side: 'right' },
    ...{ station: 'North', at: '2026-11-20T13:41:00.000Z', passed: true, findings: [] },
    ...{ moved_deg: -12, pushed_Nm: -9, rest_Nm: -3 },
  },
  protocols: {
    name: 'Ankle 60',
    pattern: 'ankle-plantarflexion-dorsiflexion',
    sets: [{ mode: 'isokinetic', speed_degps: 60, repetitions: 5, rest_s: 90 }],
  },
  decisions: { recording, repetition: 1, direction: 'dorsiflexion', counts: false, reason: 'slip' },
  boundaries: { recording, repetition: 1, direction: 'dorsiflexion', start_s: 0.1, end_s: 0.2 },
  assignments: { recording, subject: 'SH-04', side: 'left', speed_degps: 60 },
  analyses: { recording, recipe: { version: 1, conditioning: { torqueLowpass_Hz: 12 } } },
  retentions: { about: recording, keepUntil: '2036-01-01', reason: 'study 7 keeps ten years' },
  notes: { about: 'SH-03', text: 'came late' },
});

export function catalogueRequests(place: () => Place): Record<string, GoodRequest> {
  const newest = async (plural: string): Promise<string> => {
    const reply: unknown = await (await fetch(`${place().url}/api/${plural}`)).json();
    const { items } = v.parse(v.object({ items: v.array(v.object({ id: v.string() })) }), reply);
    return `/api/${plural}/${encodeURIComponent(items.at(-1)?.id ?? '')}`;
  };
  const undo = {
    async url() {
      const reply: unknown = await (await fetch(`${place().url}/api/audit?kind=note`)).json();
      const { entries } = v.parse(
        v.object({ entries: v.array(v.object({ id: v.string() })) }),
        reply,
      );
      return `/api/audit/${entries[0]?.id ?? ''}/undo`;
    },
    body: { who: 'T1' },
  };
  const ofKind = (plural: string): [string, GoodRequest][] => [
    [
      `POST /api/${plural}`,
      {
        get body() {
          return { who: 'T1', body: bodiesFor(place().recording)[plural] };
        },
      },
    ],
    [`GET /api/${plural}/{id}`, { url: () => newest(plural) }],
    [
      `PUT /api/${plural}/{id}`,
      {
        url: () => newest(plural),
        get body() {
          return { who: 'T2', base: 1, body: bodiesFor(place().recording)[plural] };
        },
      },
    ],
  ];
  const job = v.object({
    ...{ id: v.string(), state: v.string() },
    files: v.array(v.object({ name: v.string() })),
  });
  const newestExport = async () => {
    for (;;) {
      const reply: unknown = await (await fetch(`${place().url}/api/exports`)).json();
      const { exports } = v.parse(v.object({ exports: v.array(job) }), reply);
      const [newest_] = exports;
      if (newest_?.state === 'done') return newest_;
      await new Promise((resolve) => setTimeout(resolve, 20));
    }
  };
  const exported: Record<string, GoodRequest> = {
    'POST /api/exports': {
      get body() {
        return { format: 'csv', recordings: [place().recording] };
      },
    },
    'POST /api/exports/preview': { body: { filter: {} } },
    'GET /api/exports/{id}': { url: async () => `/api/exports/${(await newestExport()).id}` },
    'POST /api/exports/{id}/cancel': {
      url: async () => `/api/exports/${(await newestExport()).id}/cancel`,
    },
    'GET /api/exports/{id}/files/{name}': {
      async url() {
        const { id, files } = await newestExport();
        return `/api/exports/${id}/files/${files[0]?.name ?? ''}`;
      },
    },
    'GET /api/subject-codes/{id}': { url: () => '/api/subject-codes/SH-03' },
  };
  const post = (path: string, body?: object) =>
    fetch(`${place().url}${path}`, {
      method: 'POST',
      headers: { 'Content-Type': 'application/json' },
      body: JSON.stringify(body ?? {}),
    });
  const deletion: GoodRequest = {
    async url() {
      const begun: unknown = await (
        await post('/api/recordings', { name: 'to be deleted' })
      ).json();
      await post('/api/recordings/current/stop');
      return `/api/recordings/${v.parse(v.object({ id: v.string() }), begun).id}/delete`;
    },
    body: { who: 'T1', reason: 'consent was withdrawn' },
  };
  return {
    'POST /api/recordings/{id}/delete': deletion,
    ...exported,
    ...Object.fromEntries(Object.keys(bodiesFor('')).flatMap(ofKind)),
    'POST /api/audit/{id}/undo': undo,
  };
}
