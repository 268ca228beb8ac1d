/** The program's own way through the same raw file: every measure, set, ratio and flag of a document. */
import { readFileSync } from 'node:fs';
import { resourceUsage } from 'node:process';
import { analyze } from '../../../shared/analysis.ts';
import type { AnalysisDocument, Signal } from '../../../shared/analysis-types.ts';
import { presetRecipe } from '../../../shared/recipe/presets.ts';

const RATE_HZ = 1000;
const CHANNELS = 4;

function column(raw: Int16Array, channel: number, scale: number): Float64Array {
  const out = new Float64Array(raw.length / CHANNELS);
  for (let i = 0, k = channel; i < out.length; i += 1, k += CHANNELS) out[i] = raw[k] * scale;
  return out;
}

/** The raw bytes go as soon as the columns are made, as they do when a recording is read. */
function readSignal(bytes: Uint8Array): Signal {
  const raw = new Int16Array(bytes.buffer, bytes.byteOffset, bytes.length / 2);
  const torque_Nm = column(raw, 0, 0.05);
  const time_s = new Float64Array(torque_Nm.length);
  for (let i = 0; i < time_s.length; i += 1) time_s[i] = i / RATE_HZ;
  const angle_deg = column(raw, 1, 0.005);
  return { rate_Hz: RATE_HZ, time_s, torque_Nm, angle_deg, velocity_degps: null, flags: [] };
}

let begun = 0;

function run(path: string): AnalysisDocument {
  const bytes = readFileSync(path);
  begun = performance.now();
  const recipe = presetRecipe({ mode: 'isokinetic' });
  return analyze(readSignal(bytes), { mode: 'isokinetic', speed_degps: 60 }, recipe);
}

const document = run(process.argv[2] ?? '');
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
