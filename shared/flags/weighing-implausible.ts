/**
 * The weighed limb is far from what body-segment tables expect. Far too light asks the question that
 * matters: does the machine already remove the weight from its output?
 */
import { expectedWeight, judgeWeight, type Verdict } from '../gravity/plausibility.ts';
import type { AnalysisFindings } from './findings.ts';
import type { OfflineFlag } from './index.ts';
import { tenths, whole } from './words.ts';

/** A light adult, for when the body mass is not known: then only a missing weight is told. */
const LIGHT_BODY_KG = 45;

export const weighingImplausible: OfflineFlag = {
  kind: 'weighingImplausible',
  priority: 'medium',
  about: 'The weighed limb is implausibly light or heavy for this body; near zero asks why.',
  find(findings) {
    const weight = weightOf(findings);
    const { pattern, conditions, thresholds, signal } = findings;
    if (weight === null || pattern === undefined) return [];
    const bodyMass_kg = conditions.bodyMass_kg ?? LIGHT_BODY_KG;
    const expected = expectedWeight(pattern.limb, bodyMass_kg, null, thresholds);
    const verdict = judgeWeight(weight.amplitude_Nm, expected);
    if (verdict === 'plausible') return [];
    if (verdict !== 'nothing' && !weight.isKnown) return [];
    if (verdict !== 'nothing' && conditions.bodyMass_kg === undefined) return [];
    const [least, most] = expected.plausible_Nm;
    return [
      {
        kind: 'weighingImplausible',
        priority: 'medium',
        start_s: signal.time_s[0] ?? 0,
        end_s: signal.time_s.at(-1) ?? 0,
        value: Math.abs(weight.amplitude_Nm),
        limit: verdict === 'large' ? most : least,
        unit: 'Nm',
        message:
          `The limb weighs in at ${tenths(Math.abs(weight.amplitude_Nm))} N·m; expected for ` +
          `${whole(bodyMass_kg)} kg: ${tenths(least)} to ${tenths(most)}. ${QUESTIONS[verdict]}`,
      },
    ];
  },
};

const QUESTIONS: Readonly<Record<Exclude<Verdict, 'plausible'>, string>> = {
  nothing: 'Does the machine already remove the weight?',
  small: 'Was the limb held up, or is the torque scale wrong?',
  large: 'Was the limb pressed down, is the attachment heavy, or is the torque scale wrong?',
};

/** A fitted weighing counts as known when it could be told from its offset; a stated weight always. */
function weightOf({
  weighing,
  conditions,
}: AnalysisFindings): { amplitude_Nm: number; isKnown: boolean } | null {
  if (weighing !== null && weighing.amplitude_Nm !== null) {
    return { amplitude_Nm: weighing.amplitude_Nm, isKnown: weighing.identifiable };
  }
  const { gravity } = conditions;
  return gravity?.kind === 'sinusoid'
    ? { amplitude_Nm: gravity.amplitude_Nm, isKnown: true }
    : null;
}
