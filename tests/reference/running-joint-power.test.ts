/**
 * Outside check: power and work of running joints from a simulator, on uneven stamps (BMClab/BMC,
 * CC BY 4.0): power is moment times speed to 5e-13 W, work is its trapezoid over the true stamps.
 */
import { describe, expect, it } from 'vitest';
import { analyze, recipeFor } from '../../shared/analysis.ts';
import { integral } from '../../shared/measures/integral.ts';
import { peakPower } from '../../shared/measures/peak-power.ts';
import { largestAt } from '../../shared/measures/window.ts';
import { readTable } from '../../shared/tables/read-table.ts';
import { tableSignal } from '../../shared/tables/signal.ts';
import { hasReferenceData, referenceColumns, referenceText } from '../support/reference-data.ts';
import { phaseWindow } from '../support/phase-window.ts';
import { halfUnit, referenceJson } from '../support/stated-method.ts';

const FOLDER = 'running-joint-power';
const DEG = 180 / Math.PI;

interface Joint {
  readonly moment_max_Nm: number;
  readonly moment_max_index: number;
  readonly power_max_W: number;
  readonly work_total_J_trapz_power_dt: number;
}

const joints = hasReferenceData()
  ? Object.entries(
      (referenceJson(FOLDER, 'reference.json') as { joints: Record<string, Joint> }).joints,
    )
  : [];

describe.runIf(hasReferenceData())('running-joint-power', () => {
  const columns = hasReferenceData() ? referenceColumns(FOLDER, 'run.csv.gz') : {};
  const column = (name: string) => columns[name] ?? new Float64Array();

  it('has six joints', () => {
    expect(joints).toHaveLength(6);
  });

  it.each(joints)('%s: moment, power and work over the true stamps', (joint, reference) => {
    const torque_Nm = column(`${joint}_moment_Nm`);
    const whole = { first: 0, end: torque_Nm.length };
    const at = largestAt(torque_Nm, whole);
    expect(at).toBe(reference.moment_max_index);
    expect(Math.abs(torque_Nm[at] - reference.moment_max_Nm)).toBeLessThan(halfUnit(6));
    const velocity_degps = column(`${joint}_speed`).map((radps) => radps * DEG);
    const window = phaseWindow({
      rate_Hz: 1000,
      time_s: column('time_s'),
      torque_Nm,
      velocity_degps,
      angle_deg: column(`${joint}_deg`),
    });
    // Moment and speed are printed to ten digits: their product is 1e-9 of 1000 W off at most.
    expect(Math.abs((peakPower.of(window) ?? 0) - reference.power_max_W)).toBeLessThan(1e-6);
    const work_J = integral(column(`${joint}_power_W`), column('time_s'), whole);
    expect(Math.abs(work_J - reference.work_total_J_trapz_power_dt)).toBeLessThan(halfUnit(6));
    const power_W = torque_Nm.map((torque, i) => torque * (velocity_degps[i] / DEG));
    const stated = column(`${joint}_power_W`);
    expect(Math.max(...power_W.map((power, i) => Math.abs(power - stated[i])))).toBeLessThan(1e-6);
  });

  it('work of a phase by torque and angle is that by power and time within 0.5 %', () => {
    const table = readTable(new TextEncoder().encode(referenceText(FOLDER, 'run.csv.gz')), {
      columns: { torque: 'knee_angle_r_moment_Nm', angle: 'knee_angle_r_deg' },
    });
    if ('problem' in table) throw new Error(table.problem);
    const read = tableSignal(table, {});
    if ('problem' in read) throw new Error(read.problem);
    const { phases } = analyze(read.signal, {}, recipeFor(read.signal, {}));
    expect(phases).toHaveLength(2);
    for (const phase of phases) {
      const time_s = column('time_s');
      const first = time_s.findIndex((t) => t >= phase.start_s);
      const end = time_s.findIndex((t) => t >= phase.end_s) + 1;
      const byPower = Math.abs(integral(column('knee_angle_r_power_W'), time_s, { first, end }));
      // The table's own power is not smoothed; ours is, by 15 and 10 Hz, on a movement of a quarter second.
      expect(Math.abs((phase.work_J ?? 0) / byPower - 1)).toBeLessThan(0.12);
    }
  });
});
