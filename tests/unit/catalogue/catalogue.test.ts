/** The catalogue: nothing acknowledged is lost, nothing is overwritten unseen, all of it comes back. */
import {
  appendFileSync,
  cpSync,
  mkdirSync,
  mkdtempSync,
  readFileSync,
  rmSync,
  truncateSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { Conflict, Misfit, NotThere, openCatalogue } from '../../../daemon/catalogue/catalogue.ts';
import { editsIn } from '../../../daemon/catalogue/edits.ts';
import { readEntries } from '../../../daemon/catalogue/entry-log.ts';
import { deleteDatabase } from '../../../daemon/catalogue/logs.ts';
import { KIND_NAMES } from '../../../shared/catalogue/kinds.ts';

const NORTH = '0123456789ab';
const SOUTH = 'ba9876543210';
const RECORDING = 'r-2026-11-25-0001';
const SUBJECT = { code: 'SH-03', bodyMass_kg: 74 };

let folder: string;
let seconds = 0;
const now = () => new Date(Date.UTC(2026, 10, 25, 13, 0, (seconds += 1)));
const open = (dataFolder = folder, origin = NORTH) => openCatalogue({ dataFolder, origin, now });

/** Everything a reader can ask for, as text. */
function everything(dataFolder = folder): string {
  const catalogue = open(dataFolder);
  const text = JSON.stringify({
    items: KIND_NAMES.map((kind) => catalogue.list(kind)),
    ofRecording: catalogue.ofRecording(RECORDING),
    audit: catalogue.audit({ limit: -1, offset: 0 }),
  });
  catalogue.close();
  return text;
}

const decision = (repetition: number, counts: boolean) => ({
  recording: RECORDING,
  ...{ repetition, direction: 'dorsiflexion', counts, reason: 'strap slipped' },
});

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'momentarm-catalogue-'));
  mkdirSync(join(folder, 'recordings', RECORDING), { recursive: true });
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

describe('items', () => {
  test('are created, changed and removed, with every version in the audit trail', () => {
    const catalogue = open();
    const made = catalogue.create('subject', SUBJECT, 'T1');
    expect(made).toMatchObject({ id: 'SH-03', revision: 1, body: SUBJECT });
    const body = { ...SUBJECT, bodyMass_kg: 75 };
    expect(catalogue.change('subject', 'SH-03', { body, base: 1, who: 'T2' })?.revision).toBe(2);
    catalogue.change('subject', 'SH-03', { body: null, base: 2, who: 'T1' });
    expect(catalogue.get('subject', 'SH-03')).toBeNull();
    const audit = catalogue.audit({ kind: 'subject', limit: 10, offset: 0 });
    expect(audit.map(({ who, before, after }) => [who, before, after])).toEqual([
      ['T1', body, null],
      ['T2', SUBJECT, body],
      ['T1', null, SUBJECT],
    ]);
    catalogue.close();
  });

  test('are refused with the field named when they do not fit', () => {
    const catalogue = open();
    expect(() => catalogue.create('subject', { code: '../x' }, 'T1')).toThrow('letters, digits');
    expect(() =>
      catalogue.create('decision', { ...decision(1, false), recording: 'no' }, 'T1'),
    ).toThrow(NotThere);
    expect(catalogue.audit({ limit: 10, offset: 0 })).toEqual([]);
    catalogue.close();
  });

  test('an item stays at its own address, and a recording is never a path', () => {
    const catalogue = open();
    catalogue.create('subject', SUBJECT, 'T1');
    const body = { code: 'SH-09' };
    expect(() => catalogue.change('subject', 'SH-03', { body, base: 1, who: 'T1' })).toThrow(
      Misfit,
    );
    for (const recording of ['..', '.', 'a/b', 'a\\b', '']) {
      const bad = { ...decision(1, false), recording };
      expect(() => catalogue.create('decision', bad, 'T1')).toThrow('needs a recording id');
    }
    catalogue.close();
  });

  test('undo is a new entry, and undoing it is the redo', () => {
    const catalogue = open();
    catalogue.create('decision', decision(3, false), 'T1');
    const [made] = catalogue.audit({ limit: 1, offset: 0 });
    const undone = catalogue.undo(made?.id ?? '', 'T1');
    expect(catalogue.ofRecording(RECORDING)).toEqual([]);
    catalogue.undo(undone.id, 'T1');
    expect(catalogue.ofRecording(RECORDING)[0]?.body).toEqual(decision(3, false));
    expect(() => catalogue.undo(made?.id ?? '', 'T1')).toThrow(Conflict);
    expect(catalogue.audit({ limit: -1, offset: 0 })).toHaveLength(3);
    catalogue.close();
  });

  test('two who change the same revision: one is saved, the other gets both versions (50 races)', () => {
    const catalogue = open();
    catalogue.create('subject', SUBJECT, 'T1');
    for (let race = 1; race <= 50; race += 1) {
      const attempt = (who: string, bodyMass_kg: number) => {
        try {
          const body = { ...SUBJECT, bodyMass_kg };
          catalogue.change('subject', 'SH-03', { body, base: race, who });
          return null;
        } catch (error) {
          if (!(error instanceof Conflict)) throw error;
          return error;
        }
      };
      const pair = race % 2 === 0 ? ['T1', 'T2'] : ['T2', 'T1'];
      const [won, lost] = pair.map((who, i) => attempt(who, 60 + race + i / 10));
      expect(won).toBeNull();
      expect(lost?.theirs).toMatchObject({ revision: race + 1, body: { bodyMass_kg: 60 + race } });
    }
    catalogue.close();
  });
});

describe('the logs are the truth', () => {
  test('after the database is deleted every answer is the same, byte for byte', () => {
    const catalogue = open();
    catalogue.create('subject', SUBJECT, 'T1');
    catalogue.create('note', { about: 'SH-03', text: '=1+1 <b>é</b> "quoted"\n' }, 'T2');
    catalogue.create('decision', decision(1, false), 'T1');
    catalogue.create('decision', decision(2, true), 'T2');
    const [last] = catalogue.audit({ limit: 1, offset: 0 });
    catalogue.undo(last?.id ?? '', 'T1');
    catalogue.close();
    const before = everything();
    deleteDatabase(folder);
    expect(everything()).toBe(before);
    expect(before).toContain('strap slipped');
  });

  test('an entry that reached the log but not the database is there at the next start', () => {
    const catalogue = open();
    catalogue.create('subject', SUBJECT, 'T1');
    catalogue.close();
    cpSync(join(folder, 'catalogue.sqlite'), join(folder, 'kept.sqlite'));
    const again = open();
    again.create('subject', { code: 'SH-04' }, 'T1');
    again.close();
    deleteDatabase(folder);
    cpSync(join(folder, 'kept.sqlite'), join(folder, 'catalogue.sqlite'));
    expect(everything()).toContain('SH-04');
  });

  test('cut at every byte: whole lines stay, a torn one is told, and the next is not lost', () => {
    const catalogue = open();
    catalogue.create('subject', SUBJECT, 'T1');
    catalogue.create('subject', { code: 'SH-04' }, 'T1');
    catalogue.close();
    const log = join(folder, 'catalogue.jsonl');
    const bytes = readFileSync(log);
    const firstEnd = bytes.indexOf(10) + 1;
    for (let length = firstEnd; length < bytes.length; length += 7) {
      writeFileSync(log, bytes);
      truncateSync(log, length);
      const cut = open();
      expect(cut.list('subject').map(({ id }) => id)).toEqual(['SH-03']);
      expect(cut.damage).toEqual(
        length === firstEnd ? [] : [{ file: 'catalogue.jsonl', lines: [2] }],
      );
      cut.create('subject', { code: 'SH-05' }, 'T1');
      cut.close();
      deleteDatabase(folder);
      expect(everything()).toContain('SH-05');
      deleteDatabase(folder);
    }
  });

  test('a flipped bit anywhere in a line is found (CRC-32)', () => {
    const catalogue = open();
    catalogue.create('subject', SUBJECT, 'T1');
    catalogue.close();
    const log = join(folder, 'catalogue.jsonl');
    const bytes = readFileSync(log);
    fc.assert(
      fc.property(fc.nat(bytes.length - 2), fc.nat(7), (at, bit) => {
        const damaged = Buffer.from(bytes);
        damaged[at] = (damaged[at] ?? 0) ^ (1 << bit);
        writeFileSync(log, damaged);
        const { entries, damagedLines } = readEntries(log);
        expect(entries).toEqual([]);
        expect(damagedLines.length).toBeGreaterThan(0);
      }),
      { numRuns: 300 },
    );
  });

  test('rubbish in a log is told by line and costs only itself', () => {
    const catalogue = open();
    catalogue.create('subject', SUBJECT, 'T1');
    catalogue.close();
    appendFileSync(join(folder, 'catalogue.jsonl'), '{"origin":"x"}\nnot json\n\0\0\0\n');
    const again = open();
    expect(again.damage).toEqual([{ file: 'catalogue.jsonl', lines: [2, 3, 4] }]);
    expect(again.list('subject')).toHaveLength(1);
    again.close();
  });
});

describe('the decisions of a recording without a database', () => {
  test('are what the database says, after any changes, undo and conflicts', () => {
    const catalogue = open();
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.integer({ min: 1, max: 3 }), fc.boolean(), fc.nat(4)), {
          maxLength: 8,
        }),
        (steps) => {
          for (const [repetition, counts, how] of steps) {
            const id = `${RECORDING}:${repetition}:dorsiflexion`;
            const item = catalogue.get('decision', id);
            const [newest] = catalogue.audit({ limit: 1, offset: 0 });
            const body = how === 1 ? null : decision(repetition, counts);
            if (how === 0 && newest) catalogue.undo(newest.id, 'T2');
            else if (!item && body) catalogue.create('decision', body, 'T1');
            else if (item)
              catalogue.change('decision', id, { body, base: item.revision, who: 'T1' });
          }
          const folded = editsIn(join(folder, 'recordings', RECORDING)).items;
          const rows = catalogue
            .ofRecording(RECORDING)
            .map(({ kind, id, body }) => ({ kind, id, body }));
          expect(folded).toEqual(rows);
        },
      ),
      { numRuns: 40 },
    );
    catalogue.close();
  });

  test('a file that is no database is set aside and filled anew', () => {
    const catalogue = open();
    catalogue.create('subject', SUBJECT, 'T1');
    catalogue.close();
    const before = everything();
    deleteDatabase(folder);
    writeFileSync(join(folder, 'catalogue.sqlite'), 'this was a database once '.repeat(500));
    expect(everything()).toBe(before);
    expect(readFileSync(join(folder, 'catalogue.sqlite.damaged'), 'utf8')).toContain('once');
  });
});

describe('two stations', () => {
  // Lamport 1978, "Time, clocks, and the ordering of events": what was known comes before what knew it.
  test('whose clocks differ: a change made after an import follows what was imported', () => {
    const south = mkdtempSync(join(tmpdir(), 'momentarm-south-'));
    const ahead = openCatalogue({
      ...{ dataFolder: south, origin: SOUTH },
      now: () => new Date(Date.UTC(2030, 0, 1)),
    });
    ahead.create('subject', SUBJECT, 'T2');
    ahead.change('subject', 'SH-03', { body: { ...SUBJECT, age_years: 30 }, base: 1, who: 'T2' });
    ahead.close();
    const here = open();
    here.merge(readEntries(join(south, 'catalogue.jsonl')).entries);
    here.change('subject', 'SH-03', { body: { ...SUBJECT, age_years: 31 }, base: 2, who: 'T1' });
    here.close();
    const before = everything();
    deleteDatabase(folder);
    expect(everything()).toBe(before);
    expect(before).toContain('"revision":3');
    expect(before).not.toContain('"state":"conflict"');
    rmSync(south, { recursive: true, force: true });
  });

  test('who both changed one version: the other change is kept as a conflict, and nothing builds on it', () => {
    const south = mkdtempSync(join(tmpdir(), 'momentarm-south-'));
    const [a, b] = [open(folder, NORTH), open(south, SOUTH)];
    a.create('subject', SUBJECT, 'T1');
    b.merge(readEntries(join(folder, 'catalogue.jsonl')).entries);
    for (const [catalogue, ages] of [
      [a, [30]],
      [b, [40, 41]],
    ] as const) {
      ages.forEach((age_years, k) => {
        const body = { ...SUBJECT, age_years };
        catalogue.change('subject', 'SH-03', { body, base: k + 1, who: 'T1' });
      });
    }
    a.merge(readEntries(join(south, 'catalogue.jsonl')).entries);
    expect(a.get('subject', 'SH-03')?.body).toEqual({ ...SUBJECT, age_years: 30 });
    const conflicts = a.audit({ state: 'conflict', limit: 9, offset: 0 });
    expect(conflicts.map(({ after }) => after?.['age_years'])).toEqual([41, 40]);
    a.close();
    b.close();
    rmSync(south, { recursive: true, force: true });
  });

  test('merge: the same entry twice is one, and both orders give the same catalogue', () => {
    const south = mkdtempSync(join(tmpdir(), 'momentarm-south-'));
    mkdirSync(join(south, 'recordings', RECORDING), { recursive: true });
    const [a, b] = [open(folder, NORTH), open(south, SOUTH)];
    a.create('subject', SUBJECT, 'T1');
    b.create('subject', { ...SUBJECT, bodyMass_kg: 80 }, 'T2');
    b.create('note', { about: 'SH-03', text: 'from South' }, 'T2');
    const [fromA, fromB] = [folder, south].map(
      (from) => readEntries(join(from, 'catalogue.jsonl')).entries,
    );
    expect(a.merge(fromB ?? [])).toEqual({ added: 2, conflicts: 1 });
    expect(a.merge(fromB ?? [])).toEqual({ added: 0, conflicts: 0 });
    b.merge(fromA ?? []);
    a.close();
    b.close();
    expect(everything(folder)).toBe(everything(south));
    deleteDatabase(folder);
    expect(everything(folder)).toBe(everything(south));
    rmSync(south, { recursive: true, force: true });
  });
});
