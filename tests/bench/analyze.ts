/**
 * P2: one hour (3.6 M frames of 4 x int16) analysed, whole process: wall, compute and peak memory, beside
 * scipy in its best form doing the same filters, segmentation and measures. Rounds in turn, ratios within
 * a round; the two must find the same phases and the same sums.
 */
import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { build } from 'vite';

const ROUNDS = 5;
const FRAMES = 3_600_000;
const GOALS = { wall: 0.6, compute: 0.8, memory: 0.5 };
/** Debian's own Python has scipy; another on the PATH may not. */
const PYTHON = '/usr/bin/python3';
const FOLDER = join(import.meta.dirname, 'analyze');

interface Result {
  readonly wall_s: number;
  readonly compute_s: number;
  readonly peak_MiB: number;
  readonly phases: number;
  readonly peaks_Nm: number;
  readonly work_J: number;
  readonly loaded_J: number;
}

/** Reciprocal repetitions of 1.5 s with half a second of rest; noise of 0.2 Nm and 0.03 deg (SD). */
function hour(): Uint8Array {
  const raw = new Int16Array(4 * FRAMES);
  let state = 1;
  const uniform = () => {
    state = (state * 48271) % 2147483647;
    return state / 2147483647 - 0.5;
  };
  // Four uniform numbers: nearly Gaussian, SD 0.577.
  const noise = () => uniform() + uniform() + uniform() + uniform();
  for (let i = 0; i < FRAMES; i += 1) {
    const t = (i % 4000) / 1000;
    const isUp = t < 2;
    const x = Math.min(1, Math.max(0, ((isUp ? t : t - 2) - 0.5) / 1.5));
    const travel = 85.5 * eased(x);
    raw[4 * i] = Math.round(((isUp ? 150 : -90) * Math.sin(Math.PI * x) + 0.35 * noise()) / 0.05);
    raw[4 * i + 1] = Math.round(((isUp ? travel : 85.5 - travel) + 0.05 * noise()) / 0.005);
  }
  return new Uint8Array(raw.buffer);
}

/** 0 to 1 with 5 % of the time speeding up and 5 % braking. */
function eased(x: number): number {
  const ramp = 0.05;
  if (x < ramp) return (x * x) / (2 * ramp) / (1 - ramp);
  if (x > 1 - ramp) return 1 - ((1 - x) * (1 - x)) / (2 * ramp) / (1 - ramp);
  return (x - ramp / 2) / (1 - ramp);
}

function run(command: string, args: readonly string[]): Result {
  const begun = performance.now();
  const { stdout, stderr } = spawnSync(command, args, { encoding: 'utf8' });
  const wall_s = (performance.now() - begun) / 1000;
  if (stdout === '') throw new Error(`${command}: ${stderr}`);
  return { wall_s, ...(JSON.parse(stdout) as Omit<Result, 'wall_s'>) };
}

function median(values: readonly number[]): number {
  return values.toSorted((a, b) => a - b)[values.length >> 1] ?? Number.NaN;
}

async function bundled(outDir: string): Promise<string> {
  await build({
    configFile: false,
    logLevel: 'error',
    build: {
      ssr: join(FOLDER, 'own.ts'),
      outDir,
      emptyOutDir: false,
      target: 'node20',
      rolldownOptions: { output: { entryFileNames: 'own.mjs' } },
    },
    ssr: { noExternal: true },
  });
  return join(outDir, 'own.mjs');
}

function report(
  name: string,
  goal: number,
  pairs: readonly (readonly [number, number])[],
  unit: string,
) {
  console.log(
    JSON.stringify({
      bench: 'P2 analyze',
      figure: name,
      unit,
      own: median(pairs.map(([own]) => own)),
      scipy: median(pairs.map(([, scipy]) => scipy)),
      ratio: median(pairs.map(([own, scipy]) => own / scipy)),
      goal,
    }),
  );
}

const folder = mkdtempSync(join(tmpdir(), 'bench-analyze-'));
try {
  const raw = join(folder, 'hour.raw');
  writeFileSync(raw, hour());
  const own = await bundled(folder);
  const rounds: (readonly [Result, Result])[] = [];
  for (let k = 0; k < ROUNDS; k += 1) {
    rounds.push([
      run(process.execPath, [own, raw]),
      run(PYTHON, [join(FOLDER, 'by_channel.py'), raw]),
    ]);
  }
  const [[a, b] = []] = rounds;
  if (a === undefined || b === undefined) throw new Error('no round');
  const off = (id: 'peaks_Nm' | 'work_J' | 'loaded_J') => Math.abs(a[id] / b[id] - 1);
  if (
    a.phases !== b.phases ||
    off('peaks_Nm') > 1e-4 ||
    off('work_J') > 1e-6 ||
    off('loaded_J') > 1e-3
  ) {
    throw new Error(`the two do not agree: ${JSON.stringify([a, b])}`);
  }
  const each = (id: 'wall_s' | 'compute_s' | 'peak_MiB') =>
    rounds.map(([mine, theirs]) => [mine[id], theirs[id]] as const);
  report('wall', GOALS.wall, each('wall_s'), 's');
  report('compute', GOALS.compute, each('compute_s'), 's');
  report('peak memory', GOALS.memory, each('peak_MiB'), 'MiB');
} finally {
  rmSync(folder, { recursive: true });
}
