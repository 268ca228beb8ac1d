/** The program's own way through the same raw file: every measure, set, ratio and flag of a document. */
import { closeSync, fstatSync, openSync, readSync } from 'node:fs';
import { resourceUsage } from 'node:process';
import { analyze } from '../../../shared/analysis.ts';
import type { Signal } from '../../../shared/analysis-types.ts';
import { presetRecipe } from '../../../shared/recipe/presets.ts';

const RATE_HZ = 1000;
const CHANNELS = 4;

const PIECE_FRAMES = 1 << 16;

/** Read in pieces, as a recording is: the raw bytes never stand in memory as a whole. */
function readSignal(path: string): Signal {
  const file = openSync(path, 'r');
  const n = fstatSync(file).size / (2 * CHANNELS);
  const torque_Nm = new Float64Array(n);
  const angle_deg = new Float64Array(n);
  const raw = new Int16Array(PIECE_FRAMES * CHANNELS);
  const bytes = new Uint8Array(raw.buffer);
  for (let first = 0; first < n; first += PIECE_FRAMES) {
    const frames = readSync(file, bytes) / (2 * CHANNELS);
    place(raw, 0, 0.05, torque_Nm.subarray(first, first + frames));
    place(raw, 1, 0.005, angle_deg.subarray(first, first + frames));
  }
  closeSync(file);
  const time_s = new Float64Array(n);
  for (let i = 0; i < n; i += 1) time_s[i] = i / RATE_HZ;
  return { rate_Hz: RATE_HZ, time_s, torque_Nm, angle_deg, velocity_degps: null, flags: [] };
}

function place(raw: Int16Array, channel: number, scale: number, out: Float64Array): void {
  for (let i = 0, k = channel; i < out.length; i += 1, k += CHANNELS) out[i] = raw[k] * scale;
}

const begun = performance.now();
const recipe = presetRecipe({ mode: 'isokinetic' });
const conditions = { mode: 'isokinetic', speed_degps: 60 } as const;
const document = analyze(readSignal(process.argv[2] ?? ''), conditions, recipe);
const compute_s = (performance.now() - begun) / 1000;
const sum = (values: readonly (number | null | undefined)[]) =>
  values.reduce<number>((total, value) => total + (value ?? 0), 0);
console.log(
  JSON.stringify({
    compute_s,
    peak_MiB: resourceUsage().maxRSS / 1024,
    phases: document.phases.length,
    peaks_Nm: sum(document.phases.map(({ peakTorque_Nm }) => peakTorque_Nm)),
    work_J: sum(document.phases.map(({ work_J }) => work_J)),
    loaded_J: sum(document.phases.map(({ loadRange }) => loadRange?.work_J)),
  }),
);
