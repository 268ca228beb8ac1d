/**
 * P3: bytes of a wire -> blocks, nanoseconds a frame (one sample of 4 channels), beside what one writes
 * first, what libraries offer and a decoder by hand in C (where a compiler is). A process for each
 * variant, rounds in turn, every ratio within a round. All must end on the same sum.
 */
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { columnsIn, FRAMES, streamOf } from './decode/streams.ts';
import { VARIANTS, type Variant, type WireName } from './decode/variants.ts';

const ROUNDS = 5;
const PASSES = 15;
/** As much as a serial line of 921,600 Bd delivers in 10 ms. */
const PIECE_BYTES = 921;
const GOALS: Readonly<Record<WireName, { naiveToOurs: number; oursToC: number | null }>> = {
  packets: { naiveToOurs: 10, oursToC: 2.5 },
  packetsOfOne: { naiveToOurs: 10, oursToC: 2.5 },
  lines: { naiveToOurs: 9, oursToC: null },
};

const TSX = join('node_modules', 'tsx', 'dist', 'cli.mjs');
const SELF = join(import.meta.dirname, 'decode.ts');
const C_SOURCE = join(import.meta.dirname, 'decode', 'decoder.c');

interface Measured {
  readonly ns: number;
  readonly checksum: number;
}

type Round = Readonly<Record<string, number>>;

function median(values: readonly number[]): number {
  return values.toSorted((a, b) => a - b)[values.length >> 1] ?? Number.NaN;
}

/** One variant in this process: warmed up, then the median of the passes; printed as JSON. */
async function measure(variant: Variant, bytes: Uint8Array, nColumns: number): Promise<void> {
  const pieces: Uint8Array[] = [];
  for (let at = 0; at < bytes.length; at += PIECE_BYTES) {
    pieces.push(bytes.subarray(at, at + PIECE_BYTES));
  }
  const times_ns: number[] = [];
  let checksum = 0;
  for (let k = 0; k < PASSES; k += 1) {
    const start = process.hrtime.bigint();
    const decoded = await variant(pieces, nColumns);
    times_ns.push(Number(process.hrtime.bigint() - start) / FRAMES);
    checksum = decoded.checksum;
  }
  process.stdout.write(JSON.stringify({ ns: median(times_ns.slice(PASSES / 3)), checksum }));
}

function run(command: string, args: readonly string[]): Measured {
  const { stdout, status } = spawnSync(command, args, { encoding: 'utf8' });
  if (status !== 0) throw new Error(`${args.join(' ')} did not finish`);
  const value: unknown = JSON.parse(stdout);
  if (typeof value !== 'object' || value === null) throw new Error(`${stdout} is no figure`);
  const { ns, checksum } = { ns: Number.NaN, checksum: Number.NaN, ...value };
  return { ns, checksum };
}

function commandsOf(wire: WireName, folder: string, hasC: boolean): Map<string, () => Measured> {
  const file = join(folder, wire);
  writeFileSync(file, streamOf(wire));
  const nColumns = String(columnsIn(wire));
  const commands = new Map<string, () => Measured>();
  for (const name of Object.keys(VARIANTS[wire])) {
    commands.set(name, () => run(process.execPath, [TSX, SELF, wire, name, file]));
  }
  const inC = (way: string) => () => run(join(folder, 'decoder'), [way, file, nColumns]);
  if (hasC) commands.set('c', inC(wire === 'lines' ? 'lines' : 'packets'));
  if (hasC && wire !== 'lines') commands.set('cBestCrc', inC('packets8'));
  return commands;
}

function oneRound(wire: WireName, commands: ReadonlyMap<string, () => Measured>): Round {
  const round: Record<string, number> = {};
  let expected: number | null = null;
  for (const [name, command] of commands) {
    const { ns, checksum } = command();
    round[name] = ns;
    if (name === 'copy') continue;
    expected ??= checksum;
    if (Math.abs(checksum - expected) > 1e-6 * Math.abs(expected)) {
      throw new Error(`${wire}: ${name} decodes something else`);
    }
  }
  return round;
}

function report(wire: WireName, rounds: readonly Round[]): void {
  const short = (value: number): number => Number(value.toPrecision(3));
  const of = (name: string) => rounds.map((round) => round[name] ?? Number.NaN);
  const ratio = (a: string, b: string): number | null => {
    const value = median(
      rounds.map((round) => (round[a] ?? Number.NaN) / (round[b] ?? Number.NaN)),
    );
    return Number.isNaN(value) ? null : short(value);
  };
  const { ours, ...baselines } = Object.fromEntries(
    Object.keys(rounds[0] ?? {}).map((name) => [name, short(median(of(name)))]),
  );
  const figure = {
    figure: `P3 decode ${wire}`,
    unit: 'ns a frame',
    ours,
    baselines,
    ratios: {
      naiveToOurs: ratio('naive', 'ours'),
      libraryToOurs: ratio('library', 'ours'),
      oursToC: ratio('ours', 'c'),
      oursToCBestCrc: ratio('ours', 'cBestCrc'),
    },
    goals: GOALS[wire],
  };
  process.stdout.write(`${JSON.stringify(figure)}\n`);
}

function bench(): void {
  const folder = mkdtempSync(join(tmpdir(), 'momentarm-bench-'));
  const { status } = spawnSync('cc', ['-O2', '-o', join(folder, 'decoder'), C_SOURCE]);
  for (const wire of ['packets', 'packetsOfOne', 'lines'] as const) {
    const commands = commandsOf(wire, folder, status === 0);
    report(
      wire,
      Array.from({ length: ROUNDS }, () => oneRound(wire, commands)),
    );
  }
  rmSync(folder, { recursive: true });
}

const isWireName = (name: string): name is WireName => Object.hasOwn(VARIANTS, name);

const [wire, name = '', file = ''] = process.argv.slice(2);
if (wire === undefined) {
  bench();
} else if (isWireName(wire)) {
  const variants: Readonly<Record<string, Variant>> = VARIANTS[wire];
  const variant = variants[name];
  if (variant === undefined) throw new Error(`no variant ${name}`);
  await measure(variant, readFileSync(file), columnsIn(wire));
}
