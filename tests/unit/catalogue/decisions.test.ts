/** What people decide about a recording changes its results and nothing else, and undo brings the old ones back. */
import { createHash } from 'node:crypto';
import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { openCatalogue, type Catalogue } from '../../../daemon/catalogue/catalogue.ts';
import { editsIn } from '../../../daemon/catalogue/edits.ts';
import { analyseRecording } from '../../../daemon/pipeline/analyse-recording.ts';
import type { AnalysisDocument } from '../../../shared/analysis-types.ts';
import type { Body, Kind } from '../../../shared/catalogue/kinds.ts';
import { recordAnkleSet } from '../../support/ankle-recording.ts';

const ID = '20261125-090000-edit';
const dataFolder = mkdtempSync(join(tmpdir(), 'momentarm-decisions-'));
let folder = '';
let catalogue: Catalogue;
let original: AnalysisDocument;
let rawDigest = '';

beforeAll(async () => {
  folder = await recordAnkleSet(dataFolder, ID, { seed: 3, subject: 'SH-01', nRepetitions: 4 });
  catalogue = openCatalogue({
    ...{ dataFolder, origin: '0123456789ab' },
    now: () => new Date('2026-11-25T10:00:00.000Z'),
  });
  original = analysed();
  rawDigest = digestOfRaw();
});
afterAll(() => {
  catalogue.close();
  rmSync(dataFolder, { recursive: true, force: true });
});

function analysed(): AnalysisDocument {
  const answer = analyseRecording(folder);
  if ('problem' in answer) throw new Error(answer.problem);
  return answer.document;
}

/** All files of the folder but the decisions themselves. */
function digestOfRaw(): string {
  const hash = createHash('sha256');
  for (const name of readdirSync(folder).sort()) {
    if (name !== 'edits.jsonl') hash.update(name).update(readFileSync(join(folder, name)));
  }
  return hash.digest('hex');
}

/** The results under a decision; afterwards it is taken back, done again and taken back. */
function under<K extends Kind>(kind: K, body: Body<K>): AnalysisDocument {
  catalogue.create(kind, body, 'T1');
  const changed = analysed();
  const { key } = editsIn(folder);
  const undo = () => catalogue.undo(catalogue.audit({ limit: 1, offset: 0 })[0]?.id ?? '', 'T2');
  undo();
  expect(analysed()).toEqual(original);
  expect(editsIn(folder).key).toBe('');
  undo();
  expect(analysed()).toEqual(changed);
  expect(editsIn(folder).key).toBe(key);
  undo();
  expect(digestOfRaw()).toBe(rawDigest);
  return changed;
}

const phase = (document: AnalysisDocument, repetition: number) => {
  const found = document.phases.find(
    (one) => one.repetition === repetition && one.direction === 'plantarflexion',
  );
  if (!found) throw new Error(`no repetition ${repetition}`);
  return found;
};

test('an excluded repetition carries its reason and leaves the set; the others stay as they were', () => {
  const { start_s, end_s } = phase(original, 2);
  const what = { recording: ID, repetition: 2, direction: 'plantarflexion' };
  const changed = under('decision', {
    ...{ ...what, at_s: (start_s + end_s) / 2, counts: false, reason: 'strap slipped' },
  });
  expect(phase(changed, 2)).toEqual({
    ...phase(original, 2),
    counts: false,
    reasons: ['rejected'],
    decision: { counts: false, reason: 'strap slipped' },
  });
  const others = ({ phases }: AnalysisDocument) => phases.filter((one) => one.start_s !== start_s);
  expect(others(changed)).toEqual(others(original));
  const nOf = ({ sets }: AnalysisDocument) =>
    sets.find(({ direction }) => direction === 'plantarflexion')?.repetitions;
  expect(nOf(changed)).toBe((nOf(original) ?? 0) - 1);
});

test('a repetition that was too short counts when a person says so, its reason stays in sight', () => {
  expect(phase(original, 3)).toMatchObject({ counts: false, reasons: ['shortRange'] });
  const what = { recording: ID, repetition: 3, direction: 'plantarflexion' };
  const changed = under('decision', { ...what, counts: true, reason: 'range was agreed on' });
  expect(phase(changed, 3)).toMatchObject({ counts: true, reasons: ['shortRange'] });
});

test('a moved boundary moves the phase and its measures', () => {
  const { start_s, end_s } = phase(original, 1);
  const moved = { start_s: start_s + 0.1, end_s: end_s - 0.05 };
  const what = { recording: ID, repetition: 1, direction: 'plantarflexion' };
  const changed = phase(under('boundary', { ...what, ...moved }), 1);
  expect(changed.start_s).toBeCloseTo(moved.start_s, 9);
  expect(changed.end_s).toBeCloseTo(moved.end_s, 9);
  expect(changed.rangeOfMotion_deg).toBeLessThan(phase(original, 1).rangeOfMotion_deg ?? 0);
  expect(changed.work_J).toBeLessThan(phase(original, 1).work_J ?? 0);
});

test('another recipe has another hash and other numbers', () => {
  const recipe = { version: 1, conditioning: { torqueLowpass_Hz: 3 } } as const;
  const changed = under('analysis', { recording: ID, recipe });
  expect(changed.recipe['hash']).not.toBe(original.recipe['hash']);
  expect(phase(changed, 1).peakTorque_Nm).not.toBe(phase(original, 1).peakTorque_Nm);
});

test('another pattern has other words, another speed another target', () => {
  const changed = under('assignment', {
    ...{ recording: ID, pattern: 'knee-extension-flexion', side: 'left', speed_degps: 50 },
  });
  expect(new Set(changed.phases.map(({ direction }) => direction))).toEqual(
    new Set(['extension', 'flexion']),
  );
  expect(changed.phases.every((one) => one['targetSpeed_degps'] === 50)).toBe(true);
});

test('a channel that was wired with the wrong sign is turned, samples and all', () => {
  const channels = [
    { channel: 'torque_Nm', quantity: 'torque', unit: 'Nm', slope: 1 },
    { channel: 'angle_deg', quantity: 'angle', unit: 'deg', slope: 1, sign: -1 },
  ];
  const wiring = { version: 1, station: 'North', channels };
  const changed = under('assignment', { recording: ID, wiring });
  const rangeOf = (document: AnalysisDocument, direction: string) =>
    document.phases
      .filter((one) => one.direction === direction)
      .map(({ rangeOfMotion_deg }) => rangeOfMotion_deg);
  expect(rangeOf(changed, 'dorsiflexion')).toEqual(rangeOf(original, 'plantarflexion'));
});

test('the weight of the limb, weighed later, goes into the results', () => {
  const gravity = { kind: 'sinusoid', amplitude_Nm: 5, horizontalAt_deg: 0, offset_Nm: 0 } as const;
  const changed = under('assignment', { recording: ID, gravity });
  expect(changed.gravity).toEqual(gravity);
  expect(phase(changed, 1).peakTorque_Nm).not.toBe(phase(original, 1).peakTorque_Nm);
});

test('what cannot be is refused with the field named', () => {
  const refused = (kind: Kind, body: object) =>
    expect(() => catalogue.create(kind, body as Body<typeof kind>, 'T1'));
  refused('assignment', { recording: ID, pattern: 'jaw-open-close' }).toThrow('joint pattern');
  refused('assignment', { recording: ID, wiring: { version: 1 } }).toThrow('station is missing');
  refused('analysis', { recording: ID, recipe: { version: 2 } }).toThrow('Expected 1');
  refused('boundary', {
    ...{ recording: ID, repetition: 1, direction: 'x', start_s: 2, end_s: 1 },
  }).toThrow('start_s must come before end_s');
});
