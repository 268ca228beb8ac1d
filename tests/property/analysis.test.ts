/** Laws of the analysis that hold whatever the repetition: symmetry, scale, shift, weight, energy. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { analyze } from '../../shared/analysis.ts';
import type { AnalysisDocument, Conditions, Phase, Signal } from '../../shared/analysis-types.ts';
import { integral } from '../../shared/measures/integral.ts';
import { presetRecipe } from '../../shared/recipe/presets.ts';
import { changedRecipe } from '../../shared/recipe/recipe.ts';
import { motionOf } from '../../shared/segmentation/motion.ts';
import { reciprocalSet, type SetOptions, withColumn } from '../support/analysis-signal.ts';

const RUNS = { numRuns: 6 };
const RECIPE = presetRecipe({ mode: 'isokinetic' });
/** Thresholds in Nm (spikes, impacts) do not scale with torque: these laws are about the rest. */
const WITHOUT_THRESHOLDS = changedRecipe(RECIPE, 'no thresholds', {
  conditioning: { spike_Nm: null, spike_deg: null },
  impact: { share_pct: 100 },
});

const sets = fc.record({
  speed_degps: fc.constantFrom(30, 60, 120, 180, 240),
  range_deg: fc.integer({ min: 60, max: 110 }),
  start_deg: fc.integer({ min: -40, max: 20 }),
  repetitions: fc.integer({ min: 1, max: 3 }),
  peaks_Nm: fc.tuple(fc.integer({ min: 20, max: 300 }), fc.integer({ min: 20, max: 300 })),
  isFallingEccentric: fc.boolean(),
  seed: fc.integer({ min: 1, max: 1e6 }),
});

/** Options are drawn, not signals: a counterexample is then one line. */
const noisy = (options: SetOptions) => reciprocalSet({ ...options, noise: [1, 0.1] });

function phases(signal: Signal, conditions: Conditions = {}, recipe = RECIPE): readonly Phase[] {
  return analyze(signal, { mode: 'isokinetic', ...conditions }, recipe).phases;
}

const MAGNITUDES = [
  'rangeOfMotion_deg',
  'peakVelocity_degps',
  'peakTorque_Nm',
  'timeToPeakTorque_s',
  'work_J',
  'meanPower_W',
  'peakPower_W',
  'impulse_Nms',
  'meanTorque_Nm',
] as const;

it('finds the repetitions that were put in, concentric and eccentric', () => {
  fc.assert(
    fc.property(sets, (options) => {
      const found = phases(reciprocalSet({ ...options, noise: [1, 0.1] }));
      expect(found).toHaveLength(2 * options.repetitions);
      found.forEach((phase, k) => {
        const isRising = k % 2 === 0;
        const isEccentric = !isRising && options.isFallingEccentric;
        expect(phase).toMatchObject({
          repetition: Math.floor(k / 2) + 1,
          direction: isRising ? 'rising' : 'falling',
          effort: isRising || isEccentric ? 'rising' : 'falling',
          action: isEccentric ? 'eccentric' : 'concentric',
          counts: true,
        });
        const peak = options.peaks_Nm[isRising ? 0 : 1];
        // A half sine lasting 0.25 s at the least loses up to 1 % to 15 Hz; noise adds half a newton-metre.
        expect(Math.abs((phase.peakTorque_Nm ?? 0) - peak)).toBeLessThan(0.02 * peak + 0.5);
      });
    }),
    RUNS,
  );
});

it('mirrored, angle and torque turned, gives the same magnitudes bit for bit', () => {
  fc.assert(
    fc.property(sets, (options) => {
      const signal = noisy(options);
      const turned = withColumn(
        withColumn(signal, 'angle_deg', (value) => -value),
        'torque_Nm',
        (value) => -value,
      );
      const [a, b] = [phases(signal), phases(turned)];
      expect(b).toHaveLength(a.length);
      a.forEach((phase, k) => {
        for (const id of MAGNITUDES) expect(b[k]?.[id]).toBe(phase[id]);
        expect(b[k]?.angleAtPeakTorque_deg).toBe(-(phase.angleAtPeakTorque_deg ?? 0));
        expect(b[k]?.direction).not.toBe(phase.direction);
        expect(b[k]?.action).toBe(phase.action);
      });
    }),
    RUNS,
  );
});

it('shifted in time, changes nothing but the times', () => {
  fc.assert(
    fc.property(sets, fc.integer({ min: -1000, max: 100_000 }), (options, shift_s) => {
      const signal = noisy(options);
      const [a, b] = [phases(signal), phases(withColumn(signal, 'time_s', (t) => t + shift_s))];
      expect(b).toHaveLength(a.length);
      a.forEach((phase, k) => {
        for (const id of MAGNITUDES) {
          expect(Math.abs((b[k]?.[id] ?? 0) - (phase[id] ?? 0))).toBeLessThan(
            1e-7 * (1 + Math.abs(phase[id] ?? 0)),
          );
        }
        expect(b[k]?.start_s).toBeCloseTo(phase.start_s + shift_s, 6);
      });
    }),
    RUNS,
  );
});

it('with doubled torque, doubles what is torque, work and power, and nothing else', () => {
  fc.assert(
    fc.property(sets, (options) => {
      const signal = noisy(options);
      const doubled = withColumn(signal, 'torque_Nm', (value) => 2 * value);
      const a = phases(signal, {}, WITHOUT_THRESHOLDS);
      const b = phases(doubled, {}, WITHOUT_THRESHOLDS);
      a.forEach((phase, k) => {
        for (const id of ['peakTorque_Nm', 'work_J', 'meanPower_W', 'impulse_Nms'] as const) {
          expect(b[k]?.[id]).toBe(2 * (phase[id] ?? 0));
        }
        expect(b[k]?.rangeOfMotion_deg).toBe(phase.rangeOfMotion_deg);
        expect(b[k]?.timeToPeakTorque_s).toBe(phase.timeToPeakTorque_s);
      });
    }),
    RUNS,
  );
});

it('with a weight added and removed again, returns the measures', () => {
  const weights = fc.record({
    amplitude_Nm: fc.double({ min: -25, max: 25, noNaN: true }),
    horizontalAt_deg: fc.double({ min: -90, max: 90, noNaN: true }),
  });
  fc.assert(
    fc.property(sets, weights, (options, { amplitude_Nm, horizontalAt_deg }) => {
      const signal = noisy(options);
      const angle = signal.angle_deg ?? new Float64Array();
      const loaded = withColumn(signal, 'torque_Nm', (torque, i) => {
        return torque - amplitude_Nm * Math.cos(((angle[i] - horizontalAt_deg) * Math.PI) / 180);
      });
      const gravity = { kind: 'sinusoid', amplitude_Nm, horizontalAt_deg, offset_Nm: 0 } as const;
      const a = phases(signal);
      const b = phases(loaded, { gravity });
      expect(b).toHaveLength(a.length);
      a.forEach((phase, k) => {
        // The weight is smoothed at 15 Hz where the angle is at 10: a hundredth of it at the turns.
        const slack = 0.01 * Math.abs(amplitude_Nm) + 0.01;
        for (const id of ['peakTorque_Nm', 'work_J', 'meanTorque_Nm'] as const) {
          expect(Math.abs((b[k]?.[id] ?? 0) - (phase[id] ?? 0))).toBeLessThan(slack);
        }
      });
    }),
    RUNS,
  );
});

it('work by torque and angle is work by power and time, within 0.5 %', () => {
  fc.assert(
    fc.property(sets, (options) => {
      const signal = noisy(options);
      const motion = motionOf(signal, RECIPE);
      if (motion === null) throw new Error('no angle');
      for (const phase of phases(signal)) {
        const first = signal.time_s.findIndex((t) => t >= phase.start_s);
        const end = signal.time_s.findIndex((t) => t >= phase.end_s) + 1;
        const power = signal.torque_Nm.map((torque, i) => torque * motion.velocity_degps[i]);
        const byTime = (integral(power, signal.time_s, { first, end }) * Math.PI) / 180;
        expect(Math.abs((phase.work_J ?? 0) / Math.abs(byTime) - 1)).toBeLessThan(0.005);
      }
    }),
    RUNS,
  );
});

describe('whatever the columns hold', () => {
  const anything = fc.array(
    fc.oneof(
      fc.double({ min: -500, max: 500, noNaN: true }),
      fc.constant(Number.NaN),
      fc.constant(0),
    ),
    { minLength: 1, maxLength: 400 },
  );
  const modes = fc.constantFrom('isokinetic', 'isotonic', 'isometric', 'passive', undefined);

  it('ends with a document whose numbers are numbers or null', () => {
    fc.assert(
      fc.property(anything, anything, modes, (torque, angle, mode) => {
        const n = Math.min(torque.length, angle.length);
        const signal: Signal = {
          rate_Hz: 100,
          time_s: Float64Array.from({ length: n }, (_, i) => i / 100),
          torque_Nm: Float64Array.from(torque.slice(0, n)),
          angle_deg: Float64Array.from(angle.slice(0, n)),
          velocity_degps: null,
          flags: [],
        };
        const document = analyze(signal, mode === undefined ? {} : { mode }, RECIPE);
        expectPlain(document);
      }),
      { numRuns: 40 },
    );
  });
});

/** JSON keeps it: NaN and Infinity would become null silently. */
function expectPlain(document: AnalysisDocument): void {
  const walk = (value: unknown, path: string): void => {
    if (typeof value === 'number') expect(Number.isFinite(value), path).toBe(true);
    else if (typeof value === 'object' && value !== null) {
      for (const [key, inner] of Object.entries(value)) walk(inner, `${path}.${key}`);
    }
  };
  walk(document, '');
}
