/**
 * P1: the live pipeline, nanoseconds a frame of 4 channels in blocks of 20, beside its own limits; and the
 * zero-phase filter over an hour. A process for each variant, rounds in turn, every ratio within a round.
 * scipy is asked through `python3`, or what MOMENTARM_PYTHON names; without it those figures are left out.
 */
import { spawnSync } from 'node:child_process';
import { join } from 'node:path';
import { VARIANTS, type VariantName } from './pipeline/variants.ts';

const ROUNDS = 5;
const TSX = join('node_modules', 'tsx', 'dist', 'cli.mjs');
const SELF = join(import.meta.dirname, 'pipeline.ts');
const SCIPY = join(import.meta.dirname, 'pipeline', 'whole_array.py');
const PYTHON = process.env['MOMENTARM_PYTHON'] ?? 'python3';

type Round = Readonly<Record<string, number>>;

function median(values: readonly number[]): number {
  return values.toSorted((a, b) => a - b)[values.length >> 1] ?? Number.NaN;
}

/** One variant in this process: warmed up, then the median of many passes; printed as JSON. */
function measure(name: VariantName): void {
  const run = VARIANTS[name]();
  let checksum = 0;
  const times_ns: number[] = [];
  for (let k = 0; k < 60; k += 1) {
    const start = process.hrtime.bigint();
    const { frames, sum } = run();
    times_ns.push(Number(process.hrtime.bigint() - start) / frames);
    checksum = sum;
  }
  process.stdout.write(JSON.stringify({ ns: median(times_ns.slice(20)), checksum }));
}

function json(command: string, args: readonly string[]): Record<string, unknown> | null {
  const { stdout, status } = spawnSync(command, args, { encoding: 'utf8' });
  if (status !== 0) return null;
  const value: unknown = JSON.parse(stdout);
  return typeof value === 'object' && value !== null ? { ...value } : null;
}

function inItsOwnProcess(name: VariantName): { ns: number; checksum: number } {
  const measured = json(process.execPath, [TSX, SELF, name]);
  if (measured === null) throw new Error(`${name} did not finish`);
  return { ns: Number(measured['ns']), checksum: Number(measured['checksum']) };
}

/** Which scipy answered: a path can lead to several, and they differ fivefold. */
let scipyVersion = '';

/** All variants that compute must end on the same number, or the ratios mean nothing. */
function oneRound(): Round {
  const round: Record<string, number> = {};
  let expected: number | null = null;
  for (const { name, isComputing } of MEASURED) {
    const { ns, checksum } = inItsOwnProcess(name);
    round[name] = ns;
    if (!isComputing) continue;
    expected ??= checksum;
    if (Math.abs(checksum - expected) > 1e-9) throw new Error(`${name} computes something else`);
  }
  const scipy = json(PYTHON, [SCIPY]) ?? {};
  for (const [name, value] of Object.entries(scipy)) {
    if (typeof value === 'number') round[`scipy.${name}`] = value;
  }
  scipyVersion = `scipy ${String(scipy['scipy'])}, numpy ${String(scipy['numpy'])}`;
  return round;
}

const MEASURED: readonly { name: VariantName; isComputing: boolean }[] = [
  { name: 'pooledBlocks', isComputing: true },
  { name: 'pooledBlocksThroughRx', isComputing: true },
  { name: 'fusedLoop', isComputing: true },
  { name: 'frameReusedThroughRx', isComputing: true },
  { name: 'frameObjectsThroughRx', isComputing: true },
  { name: 'newArrays', isComputing: true },
  { name: 'memoryCopy', isComputing: false },
  { name: 'zeroPhaseHour', isComputing: false },
];

/** `ours` and `other` are names of a round; a ratio below 1 means that ours is faster. */
const FIGURES = [
  { figure: 'stages against one fused loop', other: 'fusedLoop', goal: '<= 1.5, next <= 1' },
  { figure: 'against the best per-frame RxJS', other: 'frameReusedThroughRx', goal: '<= 1/4' },
  {
    figure: 'against per-frame RxJS with objects',
    other: 'frameObjectsThroughRx',
    goal: '<= 1/50',
  },
  { figure: 'against new arrays in every stage', other: 'newArrays', goal: '' },
  { figure: 'against copying the raw columns', other: 'memoryCopy', goal: '' },
  { figure: 'against scipy on the whole array', other: 'scipy.wholeArray_ns', goal: '<= 1/3' },
  { figure: 'against scipy in blocks of 20', other: 'scipy.blocksOf20_ns', goal: '' },
] as const;

function main(): void {
  const rounds = Array.from({ length: ROUNDS }, oneRound);
  const middle = (name: string) => median(rounds.map((round) => round[name] ?? Number.NaN));
  const ratio = (ours: string, other: string) =>
    median(rounds.map((round) => (round[ours] ?? NaN) / (round[other] ?? NaN)));
  const line = (ours: string, other: string, figure: string, goal: string, unit: string) => {
    if (Number.isNaN(middle(other))) return;
    const [value, beside] = [middle(ours), middle(other)].map((v) => Number(v.toPrecision(3)));
    const against = Number(ratio(ours, other).toPrecision(3));
    const by = other.startsWith('scipy') ? { by: scipyVersion } : {};
    const figures = { bench: 'P1', figure, ratio: against, goal, unit, value, beside, ...by };
    process.stdout.write(`${JSON.stringify(figures)}\n`);
  };
  for (const { figure, other, goal } of FIGURES) {
    line('pooledBlocksThroughRx', other, figure, goal, 'ns/frame');
  }
  line(
    'zeroPhaseHour',
    'scipy.zeroPhaseHour_ms',
    'zero-phase filter, 1 h x 2 channels, against scipy by channel',
    '',
    'ms',
  );
}

const [, , variant] = process.argv;
const chosen = MEASURED.find(({ name }) => name === variant);
if (chosen === undefined) main();
else measure(chosen.name);
