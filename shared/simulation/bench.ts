/**
 * Limb, muscles and machine coupled: one step of physics, and all that is true after it.
 */
import type { Side } from '../analysis-types.ts';
import { createMachine } from './machine.ts';
import { createMuscle } from './muscle.ts';
import type { Imperfections } from './outputs.ts';
import type { Stage } from './play.ts';
import { createRandom } from './random.ts';
import { trueWeight, type Rig } from './rigs.ts';
import { strengthOf, type SubjectModel } from './subjects.ts';
import { passiveTorque_Nm } from './surface.ts';

const DEG = Math.PI / 180;
/** Soft tissue resists movement: a part that only knows the way, and one that grows with speed. */
const TISSUE_FRICTION_NM = 0.2;
const TISSUE_FRICTION_TURN_RADPS = 1 * DEG;
const TISSUE_VISCOSITY_NMSPRAD = 0.05;

/**
 * Torques toward the rising angle: of all muscles, of weight, of passive tissue, and what a perfect
 * sensor reads. `item` counts from 0, `repetition` from 1 (0 outside), `way` is 1, -1 or 0.
 */
export interface Moment {
  muscle_Nm: number;
  weight_Nm: number;
  passive_Nm: number;
  sensor_Nm: number;
  angle_deg: number;
  velocity_degps: number;
  item: number;
  repetition: number;
  way: number;
}

export interface Bench {
  /** What the player of the script moves. */
  readonly stage: Stage;
  /** What is true now; overwritten by the next step. */
  readonly now: Readonly<Moment>;
  step(): void;
}

export interface BenchOptions {
  readonly rig: Rig;
  readonly subject: SubjectModel;
  readonly side: Side;
  readonly seed: number;
  readonly imperfections: Imperfections;
  readonly start_deg: number;
  readonly step_s: number;
}

export function createBench(options: BenchOptions): Bench {
  const { rig, subject, side, seed, imperfections, step_s } = options;
  const limb = rig.limb(subject);
  const machine = createMachine({
    limb: {
      weight_Nm: limb.weight_Nm + rig.attachment.weight_Nm,
      inertia_kgm2: limb.inertia_kgm2 + rig.attachment.inertia_kgm2,
    },
    range_deg: rig.range_deg,
    limiter_Hz: rig.limiter_Hz,
    start_deg: options.start_deg,
    step_s,
  });
  const muscle = (group: Rig['rising']) =>
    createMuscle({
      group,
      subject,
      strength: strengthOf(subject, rig.joint, side),
      unsteadiness: { wander: imperfections.effortWander, tremor: imperfections.effortTremor },
      random: createRandom(seed, group),
      step_s,
    });
  const rising = muscle(rig.rising);
  const falling = muscle(rig.falling);
  const stage: Stage = {
    rig,
    machine,
    random: createRandom(seed, 'subject'),
    step_s,
    effortVariation: imperfections.effortVariation,
    wish: { rising: 0, falling: 0 },
    mark: { item: 0, repetition: 0, way: 0 },
    tire: (way) => (way > 0 ? rising : falling).tire(),
    hung_Nm: null,
    isResting: false,
  };
  const weight = trueWeight(rig, subject);
  const now: Moment = {
    muscle_Nm: 0,
    weight_Nm: 0,
    passive_Nm: 0,
    sensor_Nm: 0,
    angle_deg: 0,
    velocity_degps: 0,
    item: 0,
    repetition: 0,
    way: 0,
  };

  const step = () => {
    const { angle_rad, velocity_radps } = machine.state;
    if (stage.isResting) {
      rising.rest();
      falling.rest();
    }
    const { wish } = stage;
    now.muscle_Nm =
      rising.step(wish.rising, wish.falling, angle_rad, velocity_radps) -
      falling.step(wish.falling, wish.rising, angle_rad, -velocity_radps);
    now.weight_Nm = -weight.amplitude_Nm * Math.cos(angle_rad - weight.horizontalAt_deg * DEG);
    now.passive_Nm =
      passiveTorque_Nm(rig.rising, subject.sex, angle_rad) -
      TISSUE_FRICTION_NM * Math.tanh(velocity_radps / TISSUE_FRICTION_TURN_RADPS) -
      TISSUE_VISCOSITY_NMSPRAD * velocity_radps;
    machine.step(stage.hung_Nm ?? now.muscle_Nm + now.weight_Nm + now.passive_Nm);
    now.sensor_Nm = machine.state.sensor_Nm;
    now.angle_deg = machine.state.angle_rad / DEG;
    now.velocity_degps = machine.state.velocity_radps / DEG;
    now.item = stage.mark.item;
    now.repetition = stage.mark.repetition;
    now.way = stage.mark.way;
  };
  return { stage, now, step };
}
