/**
 * From calibrated samples to repetitions and measures: the very function that runs at the end of a live
 * set and that `analyze` calls. Pure: the same samples, conditions and recipe give the same bits.
 */
import type {
  AnalysisDocument,
  Conditions,
  Mode,
  Phase,
  Signal,
  Weighing,
} from './analysis-types.ts';
import type { PhaseFinding, StopImpact } from './flags/findings.ts';
import { analysisFlags } from './flags/offline.ts';
import { fitWeighing } from './gravity/weighing.ts';
import { patternById } from './joints/index.ts';
import type { JointPattern } from './joints/pattern.ts';
import { LoopMeter } from './measures/hysteresis.ts';
import { phaseDocument } from './measures/phase-document.ts';
import { ratiosOf } from './measures/ratios.ts';
import { setsOf } from './measures/sets/set-rows.ts';
import { presetRecipe } from './recipe/presets.ts';
import { flagThresholds, type Recipe, recipeHash } from './recipe/recipe.ts';
import { decided } from './segmentation/decisions.ts';
import { type PhaseSearch, takePhases } from './segmentation/find-phases.ts';
import { inferMode } from './segmentation/infer.ts';
import { type Motion, motionOf } from './segmentation/motion.ts';
import type { FoundPhase } from './segmentation/phase.ts';

/** What `conditions` leave out is worked out from the signal and named in `inferred`. */
export function analyze(
  signal: Signal,
  conditions: Conditions,
  recipe: Recipe,
  input = '',
): AnalysisDocument {
  const mode = conditions.mode ?? inferMode(signal);
  const pattern = conditions.pattern === undefined ? undefined : patternById(conditions.pattern);
  const motion = motionOf(signal, recipe);
  const { described, speeds_degps } = describePhases(
    { signal, motion, mode, conditions, recipe },
    pattern,
  );
  const phases = described.map(({ phase }) => phase);
  const sets = setsOf(phases, recipe);
  const weighing = mode === 'passive' ? weighingOf(signal, motion) : null;
  const flags = analysisFlags({
    signal,
    velocity_degps: motion?.velocity_degps ?? null,
    conditions: { ...conditions, mode },
    pattern,
    phases: described,
    sets,
    weighing,
    thresholds: flagThresholds(recipe),
  });
  return {
    input,
    rate_Hz: signal.rate_Hz,
    recipe: { ...recipe, hash: recipeHash(recipe) },
    gravity: conditions.gravity ?? { kind: 'none' },
    inferred: inferredOf(conditions, mode, speeds_degps),
    phases,
    sets: sets.map(({ row }) => row),
    ratios: ratiosOf(sets, pattern),
    flags,
    ...(weighing ? { weighing } : {}),
  };
}

/** The preset for what is stated, and for the mode that the signal looks like where none is. */
export function recipeFor(signal: Signal, { mode, pattern }: Conditions): Recipe {
  return presetRecipe({
    mode: mode ?? inferMode(signal),
    ...(pattern === undefined ? {} : { pattern }),
  });
}

interface Described {
  readonly described: readonly PhaseFinding[];
  readonly speeds_degps: readonly number[];
}

/** Measures each phase while its columns are at hand; they are not kept. */
function describePhases(search: PhaseSearch, pattern: JointPattern | undefined): Described {
  const loops = new LoopMeter();
  const { phases, inferredSpeeds_degps: speeds_degps } = takePhases(search, (found) => {
    loops.add(found);
    const phase = decided(phaseDocument(found, pattern), search.conditions.decisions);
    return findingOf(found, phase, search.signal);
  });
  if (search.mode !== 'passive') return { described: phases, speeds_degps };
  const described = phases.map((one, k) => ({
    ...one,
    phase: { ...one.phase, hysteresis_J: loops.energies_J[k] ?? null },
  }));
  return { described, speeds_degps };
}

function inferredOf(conditions: Conditions, mode: Mode, speeds_degps: readonly number[]) {
  const [speed, ...others] = speeds_degps;
  return {
    ...(conditions.mode === undefined ? { mode } : {}),
    ...(speed === undefined ? {} : { speed_degps: others.length > 0 ? speeds_degps : speed }),
    ...(conditions.pattern === undefined
      ? { directions: 'rising and falling: of the angle, isometric of the torque' }
      : {}),
  };
}

/** Of the torque as it was read: the weight is what is looked for. Null where nothing was swept. */
function weighingOf(signal: Signal, motion: Motion | null): Weighing | null {
  if (motion === null) return null;
  const weighing = fitWeighing(motion.angle_deg, signal.torque_Nm, motion.velocity_degps);
  return weighing.range_deg.every(Number.isFinite) ? weighing : null;
}

function findingOf(found: FoundPhase, phase: Phase, signal: Signal): PhaseFinding {
  const { impacts, window } = found;
  const { rawPeakTorque_Nm } = phase;
  return {
    phase,
    targetSpeed_degps: window.targetSpeed_degps,
    stopImpact: largestImpact(impacts, signal, window.effort),
    rawPeakTorque_Nm: typeof rawPeakTorque_Nm === 'number' ? rawPeakTorque_Nm : null,
  };
}

function largestImpact(
  impacts: FoundPhase['impacts'],
  { time_s, torque_Nm }: Signal,
  effort: 1 | -1,
): StopImpact | null {
  const inEffort = (peak: number) => effort * torque_Nm[peak];
  const [largest] = [...impacts].sort((a, b) => inEffort(b.peak) - inEffort(a.peak));
  if (largest === undefined) return null;
  return { time_s: time_s[largest.peak], torque_Nm: torque_Nm[largest.peak], at: largest.at };
}
