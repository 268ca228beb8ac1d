/**
 * Outside check: an independent re-computation with scipy, written from the documentation by other hands
 * (tests/python/recompute.py), of a table of the simulated knee: every number, phase by phase.
 */
import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { readTableFile } from '../../daemon/tables/read-table-file.ts';
import { analyze } from '../../shared/analysis.ts';
import type { Phase } from '../../shared/analysis-types.ts';
import { presetRecipe } from '../../shared/recipe/presets.ts';
import { TYPICAL } from '../../shared/simulation/outputs.ts';
import { SUBJECTS } from '../../shared/simulation/subjects.ts';
import { demoSignal } from '../support/demo-signal.ts';

/** Debian's own Python has scipy; another on the PATH may not. */
const PYTHON = '/usr/bin/python3';
const SCRIPT = join(import.meta.dirname, '..', 'python', 'recompute.py');

type Recomputed = Readonly<Record<string, number | string>>;

const folder = mkdtempSync(join(tmpdir(), 'recompute-'));
afterAll(() => {
  rmSync(folder, { recursive: true });
});

function writeTable(name: string, falling: 'concentric' | 'eccentric'): string {
  const set = { kind: 'isokinetic', speed_degps: 60, repetitions: 2 } as const;
  const signal = demoSignal({
    seed: 7,
    pattern: 'knee-extension-flexion',
    subject: SUBJECTS[0],
    script: [{ ...set, falling, rising: 'concentric' }],
    imperfections: TYPICAL,
  });
  const rows = Array.from(signal.torque_Nm, (torque, i) => {
    const time = (i / signal.rate_Hz).toFixed(4);
    return `${time},${torque.toFixed(5)},${signal.angle_deg[i].toFixed(5)}`;
  });
  const path = join(folder, name);
  writeFileSync(path, ['time_s,torque_Nm,angle_deg', ...rows].join('\n'));
  return path;
}

function recompute(path: string, gravity: { A: number; H: number }): readonly Recomputed[] {
  const args = [SCRIPT, path, JSON.stringify(gravity), '60'];
  const { stdout, stderr } = spawnSync(PYTHON, args, { encoding: 'utf8' });
  if (stdout === '') throw new Error(`no result from scipy: ${stderr}`);
  return JSON.parse(stdout) as Recomputed[];
}

describe.each(['concentric', 'eccentric'] as const)(
  'extension %s, flexion concentric',
  (action) => {
    const path = writeTable(`${action}.csv`, action);
    const read = readTableFile(path, {});
    if ('problem' in read) throw new Error(read.problem);
    const { phases } = analyze(
      read.signal,
      {
        mode: 'isokinetic',
        speed_degps: 60,
        gravity: { kind: 'sinusoid', amplitude_Nm: -14, horizontalAt_deg: 3, offset_Nm: 0 },
      },
      presetRecipe({ mode: 'isokinetic' }),
    );
    const recomputed = recompute(path, { A: -14, H: 3 });

    it('finds the same phases', () => {
      expect(phases.map(({ action: own }) => own)).toEqual(recomputed.map((row) => row['action']));
      expect(phases).toHaveLength(4);
    });

    it('gives every number as scipy does', () => {
      phases.forEach((phase, k) => {
        for (const [id, value] of Object.entries(recomputed[k] ?? {})) {
          if (typeof value === 'string') continue;
          const own = phase[id as keyof Phase];
          if (typeof own !== 'number') throw new Error(`${id} is missing`);
          // Ours has the impact at the end of the movement taken out before smoothing: at the peak, tenths
          // of a second away, that moves the sixth digit. All else agrees to 1e-8.
          const allowed = id === 'peakTorque_Nm' || id === 'peakPower_W' ? 1e-5 : 1e-8;
          expect(Math.abs(own - value), id).toBeLessThan(allowed * Math.max(1, Math.abs(value)));
        }
      });
    });
  },
);
