/**
 * One muscle group at work: from the wish to push to torque at the joint, with the lag of activation,
 * the fluctuation of a real effort, and the capacity that repetitions cost and rest gives back.
 */
import type { Random } from './random.ts';
import type { SubjectModel } from './subjects.ts';
import { angleFactor, greatestTorque_Nm, velocityFactor, type MuscleGroup } from './surface.ts';

/** Relaxing takes longer than activating, unless the other side inhibits (from memory). */
const RELAXATION_SLOWER = 1.4;
const INHIBITION_FASTER = 0.6;
/** Repetition k gives T1 (a + (1 - a) exp(-k / 20)), a = `endurance`: 30-45 % less after 30. */
const FATIGUE_REPETITIONS = 20;
const RECOVERY_S = 60;
/** A relaxed muscle below this activation gives nothing at all. */
const SILENT = 1e-5;
/** Slow wander of an effort that is meant to be steady: knee extension CV 1-3 % at 10-40 %. */
const WANDER_S = 0.4;
/** Physiological tremor lies at 8-12 Hz. */
const TREMOR_HZ = 10;
const TREMOR_WIDTH_HZ = 2;

/** How unsteady a full effort is, as shares of its torque; SD grows with the root of the effort. */
export interface Unsteadiness {
  /** Standard deviation of the slow wander. */
  readonly wander: number;
  /** Standard deviation of tremor. */
  readonly tremor: number;
}

export interface Muscle {
  /** Torque toward the group's own direction, Nm, after one step at these wishes (0-1) and motion. */
  step(wish: number, opposing: number, angle_rad: number, shortening_radps: number): number;
  /** Takes the cost of one repetition. */
  tire(): void;
  /** Lets one step of rest pass. */
  rest(): void;
}

export interface MuscleOptions {
  readonly group: MuscleGroup;
  readonly subject: SubjectModel;
  readonly strength: number;
  readonly unsteadiness: Unsteadiness;
  readonly random: Random;
  readonly step_s: number;
}

export function createMuscle(options: MuscleOptions): Muscle {
  const { group, subject, strength, unsteadiness, step_s } = options;
  const { sex, endurance, eccentricGain } = subject;
  const greatest_Nm = greatestTorque_Nm(group, subject) * strength;
  const on = 1 - Math.exp(-step_s / subject.activation_s);
  const off = 1 - Math.exp(-step_s / (subject.activation_s * RELAXATION_SLOWER));
  const inhibited = 1 - Math.exp(-step_s / (subject.activation_s * INHIBITION_FASTER));
  const recovery = 1 - Math.exp(-step_s / RECOVERY_S);
  const wander = createWander(options);
  const tremor = createTremor(options);
  let drive = 0;
  let active = 0;
  let capacity = 1;
  return {
    step(wish, opposing, angle_rad, shortening_radps) {
      const down = opposing > wish ? inhibited : off;
      drive += (wish - drive) * (wish > drive ? on : down);
      active += (drive - active) * (drive > active ? on : down);
      if (wish === 0 && active < SILENT) return 0;
      const noise = unsteadiness.wander * wander() + unsteadiness.tremor * tremor();
      return (
        greatest_Nm *
        capacity *
        Math.max(0, active + Math.sqrt(active) * noise) *
        angleFactor(group, sex, angle_rad) *
        velocityFactor(group, sex, shortening_radps, eccentricGain)
      );
    },
    tire() {
      capacity = endurance + (capacity - endurance) * Math.exp(-1 / FATIGUE_REPETITIONS);
    },
    rest() {
      capacity += (1 - capacity) * recovery;
    },
  };
}

/** Slow noise of standard deviation 1: an Ornstein-Uhlenbeck process, exact for any step. */
function createWander({ random, step_s }: MuscleOptions): () => number {
  const keep = Math.exp(-step_s / WANDER_S);
  const fresh = Math.sqrt(1 - keep * keep);
  let value = random.gauss();
  return () => (value = keep * value + fresh * random.gauss());
}

/** Narrow noise about 10 Hz of standard deviation 1: a turning vector that slowly forgets. */
function createTremor({ random, step_s }: MuscleOptions): () => number {
  const keep = Math.exp(-Math.PI * TREMOR_WIDTH_HZ * step_s);
  const fresh = Math.sqrt(1 - keep * keep);
  const cos = keep * Math.cos(2 * Math.PI * TREMOR_HZ * step_s);
  const sin = keep * Math.sin(2 * Math.PI * TREMOR_HZ * step_s);
  let x = random.gauss();
  let y = random.gauss();
  return () => {
    const turned = cos * x - sin * y + fresh * random.gauss();
    y = sin * x + cos * y + fresh * random.gauss();
    return (x = turned);
  };
}
