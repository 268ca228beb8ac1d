/**
 * Segment tables and worked gravity torques: Dempster via Winter and Zatsiorsky via de Leva as published
 * in the BMClab tables (CC BY 4.0), and Winter's worked relations recomputed with numpy.
 */
import { describe, expect, it } from 'vitest';
import { legWithFootAtEnd, limbFromBody, limbOf } from '../../shared/body-segments/limb.ts';
import { DE_LEVA, DEMPSTER_WINTER } from '../../shared/body-segments/tables.ts';
import { hasReferenceData, referenceText } from '../support/reference-data.ts';

function table(name: string): Map<string, Record<string, number>> {
  const [header = '', ...lines] = referenceText('body-segment-parameters', name).trim().split('\n');
  const columns = header.trim().split('\t');
  return new Map(
    lines.map((line) => {
      const fields = line.split('\t').map((field) => field.trim());
      const row = Object.fromEntries(columns.map((c, k) => [c.trim(), Number(fields[k])]));
      return [fields[0], row];
    }),
  );
}

const DEMPSTER_ROWS = {
  foot: 'Foot',
  leg: 'Leg',
  thigh: 'Thigh',
  hand: 'Hand',
  forearm: 'Forearm',
  upperArm: 'Upper arm',
  legAndFoot: 'Foot leg',
  totalLeg: 'Total leg',
  forearmAndHand: 'Forearm hand',
  totalArm: 'Total arm',
  trunk: 'HAT',
} as const;

const DE_LEVA_ROWS = {
  foot: 'Foot',
  leg: 'Shank',
  thigh: 'Thigh',
  hand: 'Hand',
  forearm: 'Forearm',
  upperArm: 'Upper arm',
} as const;

interface Worked {
  readonly gravity_examples_Dempster_Winter: readonly {
    readonly body_mass_kg: number;
    readonly shank_length_m: number;
    readonly leg_mass_kg: number;
    readonly foot_mass_kg: number;
    readonly leg_cm_from_knee_m: number;
    readonly gravity_torque_leg_only_horizontal_Nm: number;
    readonly gravity_torque_leg_plus_foot_at_shank_end_horizontal_Nm: number;
  }[];
}

describe.runIf(hasReferenceData())('segment tables', () => {
  it('Dempster via Winter', () => {
    const rows = table('BSP_DempsterWinter.txt');
    for (const [name, row] of Object.entries(DEMPSTER_ROWS)) {
      const segment = DEMPSTER_WINTER[name as keyof typeof DEMPSTER_ROWS];
      expect(rows.get(row)).toMatchObject({
        Mass: segment.mass,
        'CM prox': segment.centre,
        'Rg CM': segment.gyration,
      });
    }
  });

  it.each(['male', 'female'] as const)('Zatsiorsky via de Leva, %s', (sex) => {
    const rows = table(`BSP${sex}_ZdeLeva.txt`);
    for (const [name, row] of Object.entries(DE_LEVA_ROWS)) {
      const segment = DE_LEVA[sex][name as keyof typeof DE_LEVA_ROWS];
      expect(rows.get(row)).toMatchObject({
        Mass: segment.mass,
        'CM Long': segment.centre,
        'Rg Sag': segment.gyration,
      });
    }
  });

  it('worked gravity torques of a horizontal shank', () => {
    const worked = JSON.parse(referenceText('body-segment-parameters', 'reference.json')) as Worked;
    expect(worked.gravity_examples_Dempster_Winter).toHaveLength(3);
    for (const example of worked.gravity_examples_Dempster_Winter) {
      const { body_mass_kg: mass_kg, shank_length_m: length_m } = example;
      const leg = limbOf(DEMPSTER_WINTER.leg, mass_kg, length_m);
      expect(leg.mass_kg).toBeCloseTo(example.leg_mass_kg, 12);
      expect(leg.centre_m).toBeCloseTo(example.leg_cm_from_knee_m, 12);
      expect(leg.weight_Nm).toBeCloseTo(example.gravity_torque_leg_only_horizontal_Nm, 6);
      const both = legWithFootAtEnd(DEMPSTER_WINTER.leg, DEMPSTER_WINTER.foot, mass_kg, length_m);
      expect(both.mass_kg).toBeCloseTo(example.leg_mass_kg + example.foot_mass_kg, 12);
      expect(both.weight_Nm).toBeCloseTo(
        example.gravity_torque_leg_plus_foot_at_shank_end_horizontal_Nm,
        6,
      );
    }
  });
});

describe('leg and foot about the knee, recomputed with numpy from the same table', () => {
  it.each([
    [75, 1.75, 0.4305, 4.575, 0.26088, 11.704626, 0.4581],
    [62, 1.65, 0.4059, 3.782, 0.24598, 9.12292, 0.33666],
  ])('%f kg, %f m', (mass_kg, height_m, length_m, limb_kg, centre_m, weight_Nm, inertia) => {
    const limb = limbFromBody('legAndFoot', mass_kg, height_m);
    expect(limb.length_m).toBeCloseTo(length_m, 4);
    expect(limb.mass_kg).toBeCloseTo(limb_kg, 12);
    expect(limb.centre_m).toBeCloseTo(centre_m, 5);
    expect(limb.weight_Nm).toBeCloseTo(weight_Nm, 5);
    expect(limb.inertia_kgm2).toBeCloseTo(inertia, 4);
  });

  it('30 degrees below horizontal: 10.136504 Nm', () => {
    const { weight_Nm } = limbFromBody('legAndFoot', 75, 1.75);
    expect(weight_Nm * Math.cos(Math.PI / 6)).toBeCloseTo(10.136504, 5);
  });

  // Winter prints the radius of gyration about the knee as .735 of the length: .606² + .416² = .735².
  it("agrees with the table's own radius about the proximal end", () => {
    const { inertia_kgm2, mass_kg, length_m } = limbFromBody('legAndFoot', 75, 1.75);
    expect(Math.sqrt(inertia_kgm2 / mass_kg) / length_m).toBeCloseTo(0.735, 3);
  });

  it('foot about the ankle: 0.64 Nm at 75 kg', () => {
    expect(limbFromBody('foot', 75, 1.75).weight_Nm).toBeCloseTo(0.64, 2);
  });
});
