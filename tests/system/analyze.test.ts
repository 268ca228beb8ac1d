/** `analyze` as other programs use it: the real program, real files, exit statuses, JSON and nothing else. */
import { gzipSync } from 'node:zlib';
import { mkdtempSync, mkdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import type { AnalysisDocument } from '../../shared/analysis-types.ts';
import { reciprocalSet, type SetOptions } from '../support/analysis-signal.ts';
import { runProgram } from '../support/daemon.ts';

const folder = mkdtempSync(join(tmpdir(), 'analyze-'));
afterAll(() => {
  rmSync(folder, { recursive: true });
});

function write(name: string, content: string | Uint8Array): string {
  const path = join(folder, name);
  writeFileSync(path, content);
  return path;
}

/** Knee, extension falling and first here: start high by turning the angle. */
function knee(options: SetOptions = {}): string {
  const { time_s, torque_Nm, angle_deg } = reciprocalSet({ noise: [0.5, 0.05], ...options });
  const rows = Array.from(time_s, (t, i) => {
    const angle = 100 - (angle_deg?.[i] ?? 0);
    return `${t.toFixed(4)},${(-torque_Nm[i]).toFixed(4)},${angle.toFixed(4)}`;
  });
  return ['time_s,torque_Nm,angle_deg', ...rows].join('\n');
}

const table = write('knee.csv', knee({ repetitions: 3, peaks_Nm: [180, 100] }));

async function analyze(...args: readonly string[]) {
  return runProgram(['analyze', ...args]);
}

async function document(...args: readonly string[]): Promise<AnalysisDocument> {
  const { code, out, err } = await analyze(...args, '--json');
  expect({ code, err }).toEqual({ code: 0, err: '' });
  return JSON.parse(out) as AnalysisDocument;
}

describe('a plain table', () => {
  it('becomes the document of the contract', async () => {
    const all = await document(
      table,
      '--pattern',
      'knee-extension-flexion',
      '--body-mass-kg',
      '75',
    );
    expect(Object.keys(all).slice(0, 9)).toEqual([
      'input',
      'rate_Hz',
      'recipe',
      'gravity',
      'inferred',
      'phases',
      'sets',
      'ratios',
      'flags',
    ]);
    expect(all).toMatchObject({ input: table, rate_Hz: 1000, gravity: { kind: 'none' } });
    expect(all.inferred).toMatchObject({ mode: 'isokinetic', speed_degps: 60 });
    expect(all.phases).toHaveLength(6);
    expect(all.phases[0]).toMatchObject({
      repetition: 1,
      direction: 'extension',
      effort: 'extension',
      action: 'concentric',
      counts: true,
      reasons: [],
      onset_s: null,
      rateOfTorqueDevelopment_Nmps: null,
    });
    expect(all.phases[0]?.peakTorque_Nm).toBeCloseTo(180, 0);
    expect(all.phases[0]?.['peakTorquePerMass_Nmpkg']).toBeCloseTo(2.4, 1);
    expect(all.sets.map(({ effort, repetitions }) => [effort, repetitions])).toEqual([
      ['extension', 3],
      ['flexion', 3],
    ]);
    const [ratio] = all.ratios;
    expect(ratio).toMatchObject({ name: 'conventional', measure: 'peakTorque' });
    expect(ratio?.numerator).toEqual({ effort: 'flexion', action: 'concentric', speed_degps: 60 });
    expect(ratio?.value).toBeCloseTo(100 / 180, 2);
    expect(all.flags).toEqual([]);
  });

  it('packed by gzip is the same', async () => {
    const packed = write('knee.csv.gz', gzipSync(knee({ repetitions: 3, peaks_Nm: [180, 100] })));
    const [a, b] = [await document(table), await document(packed)];
    expect({ ...b, input: '' }).toEqual({ ...a, input: '' });
  });

  it('for a person is a table with units', async () => {
    const { code, out, err } = await analyze(table, '--pattern', 'knee-extension-flexion');
    expect({ code, err }).toEqual({ code: 0, err: '' });
    expect(out).toMatch(/peak Nm/);
    expect(out).toMatch(/extension +extension +concentric/);
    expect(out).toMatch(/ratio conventional, peakTorque: 0\.55/);
  });

  it('with a weight in it gives it back: sinusoid as the contract signs it, or a curve', async () => {
    const { time_s, torque_Nm, angle_deg } = reciprocalSet({ noise: [0.5, 0.05] });
    const angle = Array.from(angle_deg ?? [], (value) => 100 - value);
    // Seated knee, flexion rising: the weight pulls toward flexion, read = muscle - A cos, A = -14.
    const read = Array.from(torque_Nm, (value, i) => {
      return -value + 14 * Math.cos(((angle[i] ?? 0) * Math.PI) / 180);
    });
    const rows = read.map(
      (torque, i) => `${String(time_s[i])},${String(torque)},${String(angle[i])}`,
    );
    const loaded = write('loaded.csv', `time_s,torque_Nm,angle_deg\n${rows.join('\n')}\n`);
    const corrected = await document(loaded, '--gravity', 'sinusoid:-14,0');
    expect(corrected.phases[0]?.peakTorque_Nm).toBeCloseTo(100, 0);
    expect(corrected.gravity).toMatchObject({ kind: 'sinusoid', amplitude_Nm: -14 });
    const points = Array.from({ length: 25 }, (_, k) => {
      const deg = -10 + 5 * k;
      return `${String(deg)},${String(14 * Math.cos((deg * Math.PI) / 180))}`;
    });
    const curve = write('curve.csv', `angle_deg,torque_Nm\n${points.join('\n')}\n`);
    const byCurve = await document(loaded, '--gravity', `curve:${curve}`);
    expect(byCurve.phases[0]?.peakTorque_Nm).toBeCloseTo(
      corrected.phases[0]?.peakTorque_Nm ?? 0,
      1,
    );
  });

  it('with a recipe says which, and its numbers change', async () => {
    const recipe = write('recipe.json', '{"version":1,"conditioning":{"torqueLowpass_Hz":0.5}}');
    const [plain, smooth] = [await document(table), await document(table, '--recipe', recipe)];
    expect(smooth.recipe).toMatchObject({ conditioning: { torqueLowpass_Hz: 0.5 } });
    expect(smooth.recipe['hash']).not.toBe(plain.recipe['hash']);
    expect(smooth.phases[0]?.peakTorque_Nm).toBeLessThan((plain.phases[0]?.peakTorque_Nm ?? 0) - 1);
  });

  it('with limits is told where they are passed', async () => {
    const { flags } = await document(table, '--range-limits', '20,120', '--torque-limit', '150');
    const kinds = new Set(flags.map(({ kind }) => kind));
    expect(kinds).toContain('rangeBeyond');
    expect(kinds).toContain('overload');
  });
});

describe('several files', () => {
  it('are an array in their order; one that fails does not stop the others', async () => {
    const { code, out, err } = await analyze(table, join(folder, 'nowhere.csv'), table, '--json');
    expect(code).toBe(1);
    expect(err.trim().split('\n')).toHaveLength(1);
    expect(err).toMatch(/nowhere\.csv.*no such file/);
    const all = JSON.parse(out) as { input: string; problem?: string }[];
    expect(all.map(({ input }) => input)).toEqual([table, join(folder, 'nowhere.csv'), table]);
    expect(all[1]?.problem).toMatch(/no such file/);
  });
});

describe('what cannot be used', () => {
  const bad = (name: string, content: string) => write(name, content);
  mkdirSync(join(folder, 'empty'));

  it.each([
    ['no file', [], /no file/],
    ['a folder that is no recording', [join(folder, 'empty')], /neither a table nor a recording/],
    [
      'text',
      [bad('text.csv', 'time_s,torque_Nm,angle_deg\n0,1,2\n0.1,heavy,2\n')],
      /line 3: torque_Nm/,
    ],
    [
      'another unit',
      [bad('unit.csv', 'time_s,torque_ftlb,angle_deg\n0,1,2\n')],
      /--scale torque=1\.355818/,
    ],
    ['an unknown pattern', [table, '--pattern', 'knee'], /known are .*knee-extension-flexion/],
    ['a mode', [table, '--mode', 'plyometric'], /isokinetic, isotonic/],
    ['a speed', [table, '--speed', 'fast'], /--speed fast is not a number/],
    ['a gravity', [table, '--gravity', 'sinusoid:14'], /needs two numbers/],
    ['limits', [table, '--range-limits', '90,10'], /LOW,HIGH/],
    ['an option', [table, '--colour', 'red'], /unknown option/],
    [
      'a recipe',
      [table, '--recipe', bad('r.json', '{"version":1,"onset":{"rule":"guess"}}')],
      /onset\.rule/,
    ],
    ['a damaged archive', [bad('x.csv.gz', '\u001f\u008bnonsense')], /line|header|damaged|column/],
    [
      'movement without angle',
      [bad('a.csv', 'time_s,torque_Nm\n0,1\n0.1,1\n'), '--mode', 'isokinetic'],
      /angle/,
    ],
  ])('%s: one line, status 2', async (_, args, message) => {
    const { code, out, err } = await analyze(...args);
    expect({ code, out }).toEqual({ code: 2, out: '' });
    expect(err.trim().split('\n')).toHaveLength(1);
    expect(err).toMatch(message);
    expect(err).not.toMatch(/at .*\.(ts|js):/);
  });

  it('a table cut off in its last line is read, told, and ends with 1', async () => {
    const cut = write('cut.csv', `${knee()}\n12.5,3`);
    const { code, out, err } = await analyze(cut, '--json');
    expect(code).toBe(1);
    expect(err).toMatch(/the last, has 2 fields/);
    expect((JSON.parse(out) as AnalysisDocument).phases).toHaveLength(6);
  });
});

describe('a million lines', () => {
  it('are analysed in seconds, by the true stamps', async () => {
    const rows = knee({ repetitions: 3 }).split('\n');
    const [header = '', ...one] = rows;
    const lines = [header];
    for (let i = 0; lines.length <= 1_000_000; i += 1) {
      const row = one[i % one.length] ?? '';
      lines.push(`${(i / 1000).toFixed(3)}${row.slice(row.indexOf(','))}`);
    }
    const long = write('long.csv', lines.join('\n'));
    const { phases } = await document(long);
    expect(phases.length).toBeGreaterThan(450);
    expect(phases.filter(({ counts }) => !counts).length).toBeLessThan(3);
  });
});
