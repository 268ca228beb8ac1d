/**
 * The library at 100 and at 10,000 sets, asked over HTTP as a page asks: a page of 100 rows with its counts
 * by several filters, each beside the other in one run. Also: reading 10,000 recordings after the database
 * was deleted, and a decision until it is kept.
 */
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { crc32 } from 'node:zlib';
import { openCatalogue } from '../../daemon/catalogue/catalogue.ts';
import { sealDocument } from '../../shared/record/sealed-json.ts';
import { startDaemon, type RunningDaemon } from '../support/daemon.ts';
import { NORTH } from '../support/recordings.ts';

const ROUNDS = 100;
const folder = mkdtempSync(join(tmpdir(), 'momentarm-bench-'));
const PATTERNS = ['ankle-plantarflexion-dorsiflexion', 'knee-extension-flexion'];

/** Sets of a busy laboratory: 5 a session, three sessions a subject, who stays with one station. */
function writeSet(dataFolder: string, k: number): void {
  const id = `20200101-000000-${k}`;
  const person = Math.floor(k / 15);
  const path = join(dataFolder, 'recordings', id);
  const startedAt = new Date(Date.UTC(2020, 0, 1) + k * 3_600_000).toISOString();
  const conditions = {
    subject: `SH-${String(person).padStart(4, '0')}`,
    pattern: PATTERNS[person % 2],
    ...{ side: k % 2 === 0 ? 'left' : 'right', mode: 'isokinetic', speed_degps: 60 },
  };
  const station = person % 3 === 0 ? 'South' : 'North';
  const start = { ...NORTH, id, name: `Set ${k % 5}`, startedAt, station, conditions };
  const stop = {
    ...{ document: 'stop', version: 1, id, status: 'complete', reason: 'bench' },
    ...{ stoppedAt: startedAt, samples: 16_000, missing: 0, gaps: 0, firstIndex: 0 },
    ...{ endIndex: 16_000, events: 0, undecodedBytes: 0, lost: [], segments: [], files: [] },
    torn: [],
  };
  const phase = { counts: true, reasons: [], start_s: 1, end_s: 2, peakTorque_Nm: 90 };
  const results = {
    ...{ input: id, rate_Hz: 1000, recipe: { hash: '0'.repeat(64) }, ratios: [] },
    phases: Array.from({ length: 10 }, (_, i) => ({
      ...{ repetition: 1 + (i >> 1), direction: i % 2 === 0 ? 'rising' : 'falling', ...phase },
    })),
    sets: ['rising', 'falling'].map((direction) => ({
      ...{ direction, effort: direction, action: 'concentric', speed_degps: 60 },
      ...{ repetitions: 5, bestPeakTorque_Nm: 90 + (k % 37), totalWork_J: 301.25 },
    })),
    flags: k % 7 === 0 ? [{ kind: 'stopImpact', message: 'stop impact' }] : [],
  };
  mkdirSync(path, { recursive: true });
  const startDocument = { document: 'start', version: 1, ...start };
  writeFileSync(join(path, 'start.json'), sealDocument(startDocument, crc32));
  writeFileSync(join(path, 'stop.json'), sealDocument(stop, crc32));
  writeFileSync(join(path, 'results.json'), JSON.stringify(results));
}

interface Library {
  readonly daemon: RunningDaemon;
  /** From the ready line until the last row. */
  readonly indexed_ms: number;
}

async function library(n: number): Promise<Library> {
  const dataFolder = mkdtempSync(join(folder, 'data-'));
  for (let k = 0; k < n; k += 1) writeSet(dataFolder, k);
  const daemon = await startDaemon({ dataFolder });
  const from = performance.now();
  for (;;) {
    const { total, pending } = await ask(daemon, '?limit=1');
    if (total === n && pending === 0) return { daemon, indexed_ms: performance.now() - from };
    await new Promise((resolve) => setTimeout(resolve, 20));
  }
}

async function ask(daemon: RunningDaemon, query: string) {
  const reply = await fetch(`${daemon.url}api/sets${query}`);
  return (await reply.json()) as { total: number; pending: number; sets: object[] };
}

const QUERIES: Readonly<Record<string, string>> = {
  newest: '?limit=100',
  'one side': '?side=left&limit=50',
  'one pattern, by peak torque': `?pattern=${PATTERNS[0] ?? ''}&sort=-peakTorque_Nm&limit=50`,
  'with a flag': '?flags=stopImpact&limit=15',
  'text of one subject': '?text=sh-0003',
  'the first days': '?from=2020-01-01&to=2020-01-04&limit=100',
};

/** Medians in milliseconds, asked in turn. */
async function inTurn(query: string, daemons: readonly RunningDaemon[]): Promise<number[]> {
  const times = daemons.map((): number[] => []);
  for (let round = 0; round < ROUNDS; round += 1) {
    for (const [k, daemon] of daemons.entries()) {
      const from = performance.now();
      await ask(daemon, query);
      times[k]?.push(performance.now() - from);
    }
  }
  return times.map((all) => all.sort((a, b) => a - b)[ROUNDS / 2] ?? Number.NaN);
}

const few = await library(100);
const many = await library(10_000);
print({ figure: 'library: 10,000 recordings read anew', seconds: many.indexed_ms / 1000 });
for (const [name, query] of Object.entries(QUERIES)) {
  const rows = (await ask(many.daemon, query)).sets.length;
  const fewRows = (await ask(few.daemon, query)).sets.length;
  const [few_ms = NaN, many_ms = NaN] = await inTurn(query, [few.daemon, many.daemon]);
  print({ figure: `library: ${name}`, ratio: many_ms / few_ms, few_ms, many_ms, rows, fewRows });
}
await few.daemon.stop();
await many.daemon.stop();

const dataFolder = mkdtempSync(join(folder, 'data-'));
const catalogue = openCatalogue({ dataFolder, origin: '0123456789ab', now: () => new Date(0) });
const kept = Array.from({ length: ROUNDS }, (_, k) => {
  const from = performance.now();
  catalogue.create('note', { about: 'SH-01', text: `note ${k}` }, 'T1');
  return performance.now() - from;
}).sort((a, b) => a - b);
print({ figure: 'catalogue: a decision until log and database are synced', median_ms: kept[50] });
catalogue.close();
rmSync(folder, { recursive: true, force: true });

function print(figure: object): void {
  process.stdout.write(`${JSON.stringify(figure)}\n`);
}
