/**
 * The motorised lever: a servo that holds, drives, or only limits the speed, two end stops, and the
 * torque sensor between limb and motor. Integrated by semi-implicit Euler at a fixed step.
 */
import type { Limb } from './rigs.ts';

/** What the machine is told to do. Speeds are magnitudes in rad/s, angles in rad. */
export type MachineOrder =
  | { readonly kind: 'hold' }
  /** Moves to the target at this speed whatever the limb does, with a bounded acceleration. */
  | { readonly kind: 'drive'; readonly target_rad: number; readonly speed_radps: number }
  /** Lets the limb go freely up to the speed, either way, against a constant load if there is one. */
  | { readonly kind: 'limit'; readonly speed_radps: number; readonly load_Nm: number };

/** Inertia of motor and gear, on the machine's side of the sensor. */
const ROTOR_KGM2 = 0.35;
/** The limiting servo after free acceleration rings at the rig's frequency and dies in 30-60 ms. */
const LIMIT_DECAY_S = 0.03;
/** Holding and driving are stiffer: 200 Nm turn the lever about 0.1 degrees. */
const DRIVE_HZ = 60;
const DRIVE_DAMPING = 0.7;
const DRIVE_ACCELERATION_RADPS2 = 10;
/** The stop is touched for 10-30 ms. */
const STOP_CONTACT_S = 0.02;
const STOP_DAMPING = 0.35;
/** Before a stop the allowed speed falls over the last 5-10 degrees, to this share of the speed. */
const CUSHION_LEAST_DEG = 4;
const CUSHION_PER_SPEED_S = 1 / 60;
const CUSHION_MOST_DEG = 10;
const ARRIVAL_SHARE = 0.25;
const ARRIVAL_MOST_RADPS = 0.3;
/** Speed over which a constant load turns its sign, so that it holds still at rest. */
const LOAD_TURN_RADPS = 0.05;

const DEG = Math.PI / 180;

export interface MachineState {
  readonly angle_rad: number;
  readonly velocity_radps: number;
  /** What a perfect sensor reads: torque that the limb's side puts into the machine, rising positive. */
  readonly sensor_Nm: number;
  /** True once a `drive` order has reached its target. */
  readonly isThere: boolean;
}

export interface Machine {
  readonly state: MachineState;
  order(order: MachineOrder): void;
  /** One step under this torque of the limb's side (muscle, weight and passive tissue). */
  step(limb_Nm: number): void;
}

export interface MachineOptions {
  readonly limb: Limb;
  readonly range_deg: readonly [number, number];
  /** Frequency of the speed limiter, tuned to the attachment. */
  readonly limiter_Hz: number;
  readonly start_deg: number;
  readonly step_s: number;
}

export function createMachine(options: MachineOptions): Machine {
  const { limb, range_deg, start_deg, step_s } = options;
  const inertia = limb.inertia_kgm2 + ROTOR_KGM2;
  const [least, most] = [range_deg[0] * DEG, range_deg[1] * DEG];
  const limiter = createLimiter(inertia, options.limiter_Hz, step_s);
  const drive = createDrive(inertia, step_s);
  const stopStiffness = inertia * (Math.PI / STOP_CONTACT_S) ** 2;
  const stopDamping = 2 * STOP_DAMPING * Math.sqrt(stopStiffness * inertia);
  const state = { angle_rad: start_deg * DEG, velocity_radps: 0, sensor_Nm: 0, isThere: false };
  let order: MachineOrder = { kind: 'hold' };
  drive.from(state.angle_rad);

  const stop_Nm = (angle: number, velocity: number) => {
    if (angle > most) return Math.max(0, stopStiffness * (angle - most) + stopDamping * velocity);
    if (angle < least) return Math.min(0, stopStiffness * (angle - least) + stopDamping * velocity);
    return 0;
  };

  const servo_Nm = (angle: number, velocity: number) => {
    switch (order.kind) {
      case 'hold':
        return drive.hold(angle, velocity);
      case 'drive':
        return drive.move(angle, velocity, order.target_rad, order.speed_radps);
      case 'limit': {
        const room = velocity > 0 ? most - angle : angle - least;
        const allowed = allowedSpeed(order.speed_radps, room);
        const load = order.load_Nm * Math.max(-1, Math.min(1, velocity / LOAD_TURN_RADPS));
        return limiter(angle, velocity, allowed) + load;
      }
    }
  };

  return {
    state,
    order(next) {
      if (order.kind === 'limit' && next.kind !== 'limit') drive.from(state.angle_rad);
      order = next;
    },
    step(limb_Nm) {
      const { angle_rad, velocity_radps } = state;
      const machine_Nm = servo_Nm(angle_rad, velocity_radps) + stop_Nm(angle_rad, velocity_radps);
      const acceleration = (limb_Nm - machine_Nm) / inertia;
      state.velocity_radps = velocity_radps + acceleration * step_s;
      state.angle_rad = angle_rad + state.velocity_radps * step_s;
      state.sensor_Nm = machine_Nm + ROTOR_KGM2 * acceleration;
      state.isThere = order.kind === 'drive' && drive.isAt(order.target_rad);
    },
  };
}

/** Speed that the machine allows with `room` (rad) left before the stop ahead. */
function allowedSpeed(speed_radps: number, room: number): number {
  const cushion_deg = CUSHION_LEAST_DEG + (speed_radps / DEG) * CUSHION_PER_SPEED_S;
  const cushion = Math.min(cushion_deg, CUSHION_MOST_DEG) * DEG;
  if (room >= cushion) return speed_radps;
  const arrival = Math.min(speed_radps * ARRIVAL_SHARE, ARRIVAL_MOST_RADPS);
  const share = Math.max(0, room) / cushion;
  // Falls as energy over angle, gently at both ends, so that the limiter is not struck.
  return Math.sqrt(arrival ** 2 + (speed_radps ** 2 - arrival ** 2) * share ** 2 * (3 - 2 * share));
}

type Limiter = (angle: number, velocity: number, allowed: number) => number;

/** A brake that is off until the speed is reached; then a spring and damper on the ideal motion. */
function createLimiter(inertia: number, ring_Hz: number, step_s: number): Limiter {
  const damping = (2 * inertia) / LIMIT_DECAY_S;
  const stiffness = inertia * ((2 * Math.PI * ring_Hz) ** 2 + LIMIT_DECAY_S ** -2);
  let way = 0;
  let ideal = 0;
  let before = 0;
  return (angle, velocity, allowed) => {
    if (way === 0 && Math.abs(velocity) >= allowed) {
      way = Math.sign(velocity);
      ideal = angle;
      before = allowed;
    }
    if (way === 0) return 0;
    const deceleration = (way * (before - allowed)) / step_s;
    before = allowed;
    const brake_Nm =
      damping * (velocity - way * allowed) + stiffness * (angle - ideal) + inertia * deceleration;
    ideal += way * allowed * step_s;
    if (brake_Nm * way > 0) return brake_Nm;
    way = 0;
    return 0;
  };
}

interface Drive {
  /** Takes over at this angle, at rest. */
  from(angle: number): void;
  hold(angle: number, velocity: number): number;
  move(angle: number, velocity: number, target: number, speed: number): number;
  isAt(target: number): boolean;
}

/** A position servo on an ideal motion of bounded acceleration. */
function createDrive(inertia: number, step_s: number): Drive {
  const turn = 2 * Math.PI * DRIVE_HZ;
  const stiffness = inertia * turn ** 2;
  const damping = 2 * DRIVE_DAMPING * turn * inertia;
  let ideal = 0;
  let speed = 0;
  const follow = (angle: number, velocity: number) =>
    stiffness * (angle - ideal) + damping * (velocity - speed);
  const isAt = (target: number) => Math.abs(target - ideal) < 1e-9 && speed === 0;
  return {
    from(angle) {
      ideal = angle;
      speed = 0;
    },
    hold(angle, velocity) {
      speed = 0;
      return follow(angle, velocity);
    },
    move(angle, velocity, target, most) {
      const room = target - ideal;
      const change = DRIVE_ACCELERATION_RADPS2 * step_s;
      const braking = Math.sqrt(2 * DRIVE_ACCELERATION_RADPS2 * Math.abs(room));
      const wanted = Math.sign(room) * Math.min(most, braking);
      speed += Math.max(-change, Math.min(change, wanted - speed));
      if (Math.abs(room) <= Math.abs(speed) * step_s + 1e-12) {
        ideal = target;
        speed = 0;
      } else ideal += speed * step_s;
      return follow(angle, velocity);
    },
    isAt,
  };
}
