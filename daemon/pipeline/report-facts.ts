/** What a report is told beside the samples: who was tested, what was measured last time, what to read with it. */
import type { RecordingFacts, ReportFacts, SubjectFacts } from '../../shared/report/facts.ts';
import { ownErrors } from '../../shared/report/own-error.ts';
import { assignedStart, editsIn } from '../catalogue/edits.ts';
import type { SetRow } from '../catalogue/set-row.ts';
import type { Archive } from '../station-archive.ts';

/** One page holds so many. */
export const MOST_RECORDINGS = 12;
/** Sets looked at for last time and for the site's own measurement error: the newest ones. */
const MOST_SETS = 2000;

type From = Pick<Archive, 'library' | 'sets' | 'catalogue'>;

/** Recordings that an address means: ids with commas between, or the id of a session. */
export function meantRecordings({ library, sets }: From, address: string): readonly string[] {
  const ids = address.split(',').flatMap((id) => {
    if (library.entry(id) !== null) return [id];
    return [...sets.ids({ facets: { session: [id] } })];
  });
  return [...new Set(ids)].slice(0, MOST_RECORDINGS);
}

/** Null where the address means no recording. */
export async function reportFacts(from: From, address: string): Promise<ReportFacts | null> {
  const ids = meantRecordings(from, address);
  const recordings: RecordingFacts[] = [];
  for (const id of ids) recordings.push(...(await recordingFacts(from, id)));
  const [first] = recordings;
  if (first === undefined) return null;
  return {
    ...{ id: address, recordings, subject: subjectFacts(from, first.subject) },
    errors: ownErrors(setsLike(from, first)),
  };
}

/** Sets of this pattern and mode, newest first. */
function setsLike({ sets }: From, { pattern, mode }: RecordingFacts | SetRow): readonly SetRow[] {
  const facets = { pattern: [pattern], mode: [mode] };
  const page = { sort: 'startedAt', isDescending: true, limit: MOST_SETS, offset: 0 } as const;
  return sets.query({ facets, ...page }).sets;
}

async function recordingFacts(from: From, id: string): Promise<RecordingFacts[]> {
  const opened = from.library.open(id);
  if (opened === null) return [];
  const { recording } = opened;
  const start = assignedStart(recording.start, editsIn(recording.folder));
  const { subject = '', pattern = '', side = '', mode = '' } = start?.conditions ?? {};
  const startedAt = start?.startedAt ?? '';
  const { lines } = await from.library.trust(id);
  const facts: RecordingFacts = {
    ...{ id, startedAt, subject, pattern, side, mode },
    name: start?.name ?? '',
    station: start?.station ?? '',
    software: start?.software ?? '',
    isSimulated: start?.source.kind === 'simulated',
    nPositions: positionsIn(start?.position),
    before: null,
    cautions: lines.filter(({ state }) => state === 'look').map(({ text }) => text),
  };
  const before = subject === '' ? undefined : lastTime(setsLike(from, facts), facts);
  return [
    before ? { ...facts, before: { startedAt: before.startedAt, efforts: before.efforts } } : facts,
  ];
}

/** The newest set of the same test and side on an earlier day that has a speed in common. */
function lastTime(sets: readonly SetRow[], facts: RecordingFacts): SetRow | undefined {
  return sets.find(
    (set) =>
      set.subject === facts.subject &&
      set.side === facts.side &&
      set.startedAt.slice(0, 10) < facts.startedAt.slice(0, 10) &&
      set.efforts.length > 0,
  );
}

/** A position written down is an object of settings; anything else is none. */
function positionsIn(position: unknown): number {
  const values: unknown =
    typeof position === 'object' && position !== null ? Reflect.get(position, 'values') : null;
  return typeof values === 'object' && values !== null ? Object.keys(values).length : 0;
}

function subjectFacts({ catalogue }: From, code: string): SubjectFacts | null {
  const body = catalogue.get('subject', code)?.body;
  if (!body) return null;
  const number = (name: string) => {
    const value: unknown = Reflect.get(body, name);
    return typeof value === 'number' ? value : null;
  };
  const text = (name: string) => {
    const value: unknown = Reflect.get(body, name);
    return typeof value === 'string' ? value : '';
  };
  return {
    ...{ age_years: number('age_years'), bodyMass_kg: number('bodyMass_kg') },
    ...{ height_cm: number('height_cm'), sex: text('sex'), dominantSide: text('dominantSide') },
  };
}
