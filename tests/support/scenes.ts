/** States of the pages that a stage can be put into: for axe, for overflow and for pictures. */
import type { Page } from 'playwright-core';
import type { Flag } from '../../shared/flags/flag.ts';
import type { StationState } from '../../shared/wire/events.ts';
import { ankleSet } from './curves.ts';
import { type Answer, liveState, type Stage } from './stage.ts';

const RATE_HZ = 1000;
const SET = ankleSet({ rate_Hz: RATE_HZ, nRepetitions: 7, speed_degps: 60 });
const COLUMNS = [SET.torque_Nm, SET.angle_deg, SET.velocity_degps];

export interface Scene {
  readonly name: string;
  readonly path: string;
  /** Before the page is opened. */
  readonly prepare?: (stage: Stage) => void;
  /** After it: until the state is on the screen. */
  readonly play?: (stage: Stage, page: Page) => Promise<void>;
}

const flag = (id: number, more: Partial<Flag>): StationState['flags'][number] => ({
  id,
  acknowledged: false,
  kind: 'rangeBeyond',
  priority: 'medium',
  start_s: 5.5,
  end_s: 5.8,
  value: 16.8,
  limit: 16,
  unit: 'deg',
  message: '16.8° dorsiflexion, limit 16°, for 0.3 s.',
  ...more,
});

const FLAGS = [
  flag(4, { kind: 'overload', priority: 'high', message: '124 N·m, limit 120 N·m.' }),
  flag(3, { kind: 'loadRangeShort', priority: 'low', message: '36° of 50° set range, needs 45°.' }),
  flag(2, {}),
  { ...flag(1, { kind: 'spike', priority: 'low' }), acknowledged: true },
];

const recording = (n: number) => ({
  id: 'r1',
  name: 'SH-03 ankle right 60',
  startedAt: new Date(Date.now() - n).toISOString(),
  samples: n,
  durableSamples: Math.max(0, n - 400),
  trouble: '',
});

/** Samples up to `to` at once, then the stream goes on in real time. */
async function feed(stage: Stage, to: number): Promise<void> {
  await stage.seen();
  for (let i = 0; i < to; i += 500) {
    stage.send(COLUMNS, i, Math.min(to, i + 500), RATE_HZ);
    await new Promise((resolve) => setTimeout(resolve, 8));
  }
  stage.flow(COLUMNS, to, RATE_HZ);
}

/** Three and a half repetitions of a set, recorded, with flags. */
async function runSet(stage: Stage, page: Page, n = 9300): Promise<void> {
  await stage.seen();
  stage.say({ recording: recording(0) });
  await feed(stage, n);
  const phases = SET.phases.filter((phase) => phase.end_s * RATE_HZ <= n);
  stage.tell({ type: 'ledger', ledger: { recording: 'r1', finality: 'provisional', phases } });
  stage.say({ recording: recording(n), flags: FLAGS });
  await page.getByText('under way').first().waitFor();
}

const source = (more: Partial<StationState['source']>) => ({ ...liveState().source, ...more });

const ENTRIES = Array.from({ length: 60 }, (_, k) => ({
  id: `2026112${5 - Math.floor(k / 20)}-${140000 - k}-demo`,
  status: (['complete', 'complete', 'recovered', 'damaged', 'repaired', 'complete'] as const)[
    k % 6
  ],
  name: `SH-0${1 + (k % 8)} ankle ${k % 2 === 0 ? 'right' : 'left'} 60`,
  startedAt: new Date(Date.UTC(2026, 10, 25, 14) - k * 7 * 60_000).toISOString(),
  subject: `SH-0${1 + (k % 8)}`,
  pattern: k % 3 === 0 ? 'knee-extension-flexion' : 'ankle-plantarflexion-dorsiflexion',
  side: k % 2 === 0 ? 'right' : 'left',
  mode: k % 5 === 0 ? 'isometric' : 'isokinetic',
  samples: 16_000 + 137 * k,
  duration_s: 16 + 0.137 * k,
}));

function openedRecording(troubles: readonly string[]) {
  const { phases } = SET;
  const n = SET.torque_Nm.length;
  return {
    opened: {
      id: 'r1',
      start: {
        name: 'SH-03 ankle right 60',
        startedAt: '2026-11-25T14:08:01.000Z',
        station: 'North',
        software: 'momentarm 0.1.0',
        source: { url: 'serial:/dev/ttyUSB0', kind: 'device', format: 'packets' },
        stream: { integrity: 'crc32' },
        conditions: {
          subject: 'SH-03',
          pattern: 'ankle-plantarflexion-dorsiflexion',
          side: 'right',
          mode: 'isokinetic',
          speed_degps: 60,
          rangeLimits_deg: [-37, 16],
          torqueLimit_Nm: 120,
        },
      },
      stop: { status: 'complete', reason: 'stopped by a person', samples: n, missing: 0, gaps: 0 },
      rate_Hz: RATE_HZ,
      duration_s: n / RATE_HZ,
      columns: [
        { name: 'torque_Nm', unit: 'Nm' },
        { name: 'angle_deg', unit: 'deg' },
      ],
      events: [],
      troubles,
    },
    torque: overviewOf(SET.torque_Nm),
    angle: overviewOf(SET.angle_deg),
    analysis: {
      input: 'r1',
      rate_Hz: RATE_HZ,
      phases: phases.map((phase) => ({ ...phase, measures: {} })),
      sets: [],
      flags: FLAGS.map((one) => ({ ...one })),
      recipe: { version: 1, conditioning: { torqueLowpass_Hz: 15, angleLowpass_Hz: 10 } },
      gravity: { kind: 'none' },
      inferred: {},
    },
  };
}

function overviewOf(column: Float32Array) {
  const points = 1500;
  const size = column.length / points;
  const part = (k: number) => column.subarray(Math.floor(k * size), Math.floor((k + 1) * size));
  const each = (pick: (values: Float32Array) => number) =>
    Array.from({ length: points }, (_, k) => pick(part(k)));
  return {
    column: 'torque_Nm',
    unit: 'Nm',
    from_s: 0,
    to_s: column.length / RATE_HZ,
    min: each((values) => values.reduce((a, b) => Math.min(a, b))),
    max: each((values) => values.reduce((a, b) => Math.max(a, b))),
  };
}

function desk(stage: Stage, troubles: readonly string[] = []): void {
  const { opened, torque, angle, analysis } = openedRecording(troubles);
  const good = (body: unknown): Answer => ({ status: 200, body });
  stage.answers.set('GET /api/recordings', good({ recordings: ENTRIES }));
  stage.answers.set('GET /api/recordings/r1', good(opened));
  stage.answers.set('GET /api/recordings/r1/analysis', good(analysis));
  stage.answers.set('GET /api/recordings/r1/samples', { status: 404, body: {} });
  stage.answers.set('GET /api/recordings/*', {
    status: 200,
    body: null,
    from: (query) => (query.get('column') === 'angle_deg' ? angle : torque),
  });
}

export const SCENES: readonly Scene[] = [
  { name: 'home', path: '/' },
  { name: 'no such page', path: '/elsewhere' },
  {
    name: 'stand, nothing came yet',
    path: '/tester',
    prepare(stage) {
      const trouble = { state: 'connecting', tries: 3, detail: 'the port does not exist' } as const;
      const never = { rate_Hz: null, silence_ms: null, lastSampleAt: null, samples: 0 };
      stage.state = { ...liveState(), source: source({ ...trouble, ...never }) };
    },
    play: (_, page) => page.getByText('No sample has come yet.').waitFor(),
  },
  {
    name: 'stand, live view',
    path: '/tester',
    play: (stage) => feed(stage, 6000),
  },
  { name: 'stand, set under way', path: '/tester', play: (stage, page) => runSet(stage, page) },
  {
    name: 'stand, naming',
    path: '/tester',
    async play(stage, page) {
      await feed(stage, 2000);
      await page.getByRole('heading', { name: 'Repetitions' }).waitFor();
      await page.keyboard.press('r');
      await page.getByLabel('Name of the recording').waitFor();
    },
  },
  {
    name: 'stand, no data',
    path: '/tester',
    async play(stage, page) {
      await runSet(stage, page);
      stage.stopFlow();
      stage.say({ source: source({ state: 'lost', tries: 2, detail: 'the port is gone' }) });
      await page.getByText(/^No data for 1\.\d s$/).waitFor();
    },
  },
  {
    name: 'stand, simulated and held',
    path: '/tester',
    async play(stage, page) {
      stage.say({ source: source({ kind: 'simulated', url: 'demo:' }) });
      await runSet(stage, page);
      const { phases } = SET;
      stage.tell({ type: 'ledger', ledger: { recording: 'r1', finality: 'settled', phases } });
      stage.say({ recording: null });
      await page.getByText('The paper is held').waitFor();
    },
  },
  {
    name: 'stand, trouble with the recording',
    path: '/tester',
    async play(stage, page) {
      await runSet(stage, page);
      const trouble = 'The disk is full. The recording was closed at the last saved sample.';
      stage.say({ recording: { ...recording(9300), trouble } });
      await page.getByText(trouble).waitFor();
    },
  },
  {
    name: 'stand, keys',
    path: '/tester',
    async play(stage, page) {
      await feed(stage, 2000);
      await page.getByRole('heading', { name: 'Repetitions' }).waitFor();
      await page.keyboard.press('?');
      await page.getByRole('heading', { name: 'Keys' }).waitFor();
    },
  },
  {
    name: 'station check',
    path: '/tester/station',
    prepare(stage) {
      const time = new Date().toISOString();
      const faults = [
        { code: 'samplesLost', at: 5000, detail: '800 samples', count: 1, time },
        { code: 'frameDamaged', at: 5000, detail: '', count: 3, time },
      ] as const;
      stage.state = { ...liveState(), faults };
    },
    play: (stage) => feed(stage, 3000),
  },
  { name: 'subject, joint, side', path: '/tester/subject', play: (stage) => feed(stage, 3000) },
  { name: 'range and limits', path: '/tester/limits', play: (stage) => feed(stage, 3000) },
  {
    name: 'desk, list',
    path: '/research',
    prepare: (stage) => desk(stage),
    play: (_, page) => page.getByText('60 recordings shown').waitFor(),
  },
  {
    name: 'desk, no recording yet',
    path: '/research',
    prepare: (stage) => {
      stage.answers.set('GET /api/recordings', { status: 200, body: { recordings: [] } });
    },
    play: (_, page) => page.getByText('No recording yet.').waitFor(),
  },
  {
    name: 'desk, list cannot be read',
    path: '/research',
    prepare: (stage) => {
      const body = { detail: 'The data folder cannot be read.' };
      stage.answers.set('GET /api/recordings', { status: 500, body });
    },
    play: (_, page) => page.getByText('The list of recordings could not be read.').waitFor(),
  },
  {
    name: 'desk, a recording',
    path: '/research/r1',
    prepare: (stage) => desk(stage),
    play: (_, page) => page.getByText('Whole: no damage was found in it.').waitFor(),
  },
  {
    name: 'desk, a damaged recording',
    path: '/research/r1',
    prepare: (stage) => desk(stage, ['stream-0.blk: block 12 fails its check, 2.4 s to 2.5 s']),
    play: (_, page) => page.getByText('Damage was found.').waitFor(),
  },
  {
    name: 'desk, no such recording',
    path: '/research/nowhere',
    prepare: (stage) => {
      const body = { detail: 'There is no such recording.' };
      stage.answers.set('GET /api/recordings/nowhere', { status: 404, body });
    },
    play: (_, page) => page.getByText('There is no recording of this name.').waitFor(),
  },
];
