/**
 * Plays a script: what the machine is ordered and what the subject wishes, moment by moment. Each
 * item is a generator that yields once a step, so that it reads in the order in which it happens.
 */
import type { Machine } from './machine.ts';
import { hangMasses } from './masses.ts';
import type { Random } from './random.ts';
import type { Rig } from './rigs.ts';
import type { ScriptItem } from './script.ts';

/** What the player sees and moves. `wish` is 0 (relaxed) to 1 for each direction. */
export interface Stage {
  readonly rig: Rig;
  readonly machine: Machine;
  readonly random: Random;
  readonly step_s: number;
  /** Standard deviation of effort from one repetition to the next. */
  readonly effortVariation: number;
  readonly wish: { rising: number; falling: number };
  /** Place in the script: item from 0, repetition from 1 (0 outside), way of the movement. */
  readonly mark: { item: number; repetition: number; way: Way };
  /** The cost of one repetition of the muscles that push this way. */
  tire(way: 1 | -1): void;
  /** Torque of a mass on the bare lever; null while a limb is on it. */
  hung_Nm: number | null;
  /** True while muscles recover. */
  isResting: boolean;
}

export type Way = -1 | 0 | 1;

const DEG = Math.PI / 180;
/** Setting the limb to its start is slow enough not to look like a test. */
const PLACING_DEGPS = 20;
/** Quiet before the first effort of an item. */
const SETTLE_S = 1;
/** From seeing that it is time to wishing otherwise: 150-250 ms. */
const REACTION_LEAST_S = 0.15;
const REACTION_SPREAD_S = 0.1;
/** Having arrived at the stop, the subject eases off before turning round. */
const EASE_AFTER_S = 0.08;
const EASED = 0.5;
/** The limb counts as arrived this close to the end. */
const ARRIVED_RAD = 0.7 * DEG;
/** A movement that has come to rest for so long is given up. */
const STALLED_RADPS = 3 * DEG;
const STALLED_S = 0.6;
/** Before an eccentric movement the subject pushes against the held lever. */
const PRELOAD_S = 0.6;
/** A subject who does not let go: this share of an effort, over this part of the way. */
const TENSE_EFFORT = 0.05;
const TENSE_FROM = 0.4;
const TENSE_TO = 0.54;
/** The polarity check as a tester does it. */
const POLARITY_REST_S = 2;
const POLARITY_DEG = 12;
const POLARITY_DEGPS = 8;
const POLARITY_EFFORT = 0.12;
const POLARITY_PUSH_S = 2;
/** Free speed under a constant load. */
const ISOTONIC_MOST_DEGPS = 400;

type Steps = Generator<void, void, void>;

export function* play(items: readonly ScriptItem[], repeat: boolean, stage: Stage): Steps {
  do {
    for (const [index, item] of items.entries()) {
      stage.mark.item = index;
      stage.mark.repetition = 0;
      yield* playItem(item, stage);
    }
  } while (repeat && items.length > 0);
}

/** Angle at which the first effort or movement of an item begins; null when any will do. */
export function startAngle_deg(item: ScriptItem | undefined, rig: Rig): number | null {
  switch (item?.kind) {
    case 'isokinetic':
    case 'isotonic':
      return rig.range_deg[1];
    case 'passive':
      return rig.range_deg[0];
    case 'isometric':
      return item.angle_deg ?? rig.isometricAt_deg;
    case 'polarity':
      return rig.isometricAt_deg;
    case 'masses':
    case 'rest':
    case undefined:
      return null;
  }
}

function* playItem(item: ScriptItem, stage: Stage): Steps {
  const start_deg = startAngle_deg(item, stage.rig);
  if (start_deg !== null) {
    yield* move(stage, start_deg, PLACING_DEGPS);
    stage.machine.order({ kind: 'hold' });
    yield* wait(stage, SETTLE_S);
  }
  switch (item.kind) {
    case 'rest':
      stage.isResting = true;
      yield* wait(stage, item.duration_s);
      stage.isResting = false;
      return;
    case 'passive':
      return yield* passive(item, stage);
    case 'polarity':
      return yield* polarity(stage);
    case 'masses':
      return yield* hangMasses(item.each_s, stage);
    case 'isometric':
      return yield* isometric(item, stage);
    case 'isotonic':
    case 'isokinetic':
      return yield* repetitions(item, stage);
  }
}

function* passive(item: Extract<ScriptItem, { kind: 'passive' }>, stage: Stage): Steps {
  let movement = 0;
  for (let sweep = 1; sweep <= item.sweeps; sweep++) {
    stage.mark.repetition = sweep;
    for (const [way, end] of [
      [1, stage.rig.range_deg[1]],
      [-1, stage.rig.range_deg[0]],
    ] as const) {
      stage.mark.way = way;
      movement += 1;
      if (movement === item.tenseMovement) yield* moveTense(stage, end, item.speed_degps);
      else yield* move(stage, end, item.speed_degps);
      stage.mark.way = 0;
      yield* wait(stage, SETTLE_S);
    }
  }
  stage.mark.repetition = 0;
}

/** Moved by hand, then a gentle push, both toward the falling direction. */
function* polarity(stage: Stage): Steps {
  yield* wait(stage, POLARITY_REST_S);
  stage.mark.way = -1;
  yield* move(stage, stage.machine.state.angle_rad / DEG - POLARITY_DEG, POLARITY_DEGPS);
  yield* wait(stage, SETTLE_S);
  push(stage, -1, POLARITY_EFFORT);
  yield* wait(stage, POLARITY_PUSH_S);
  relax(stage);
  stage.mark.way = 0;
  yield* wait(stage, SETTLE_S);
}

/** The muscles help for a part of the way. */
function* moveTense(stage: Stage, end_deg: number, speed_degps: number): Steps {
  const { angle_rad } = stage.machine.state;
  const way = end_deg * DEG > angle_rad ? 1 : -1;
  const place = (share: number) => angle_rad / DEG + share * (end_deg - angle_rad / DEG);
  yield* move(stage, place(TENSE_FROM), speed_degps);
  push(stage, way, TENSE_EFFORT);
  yield* move(stage, place(TENSE_TO), speed_degps);
  relax(stage);
  yield* move(stage, end_deg, speed_degps);
}

function* isometric(item: Extract<ScriptItem, { kind: 'isometric' }>, stage: Stage): Steps {
  const way = item.way === 'rising' ? 1 : -1;
  stage.mark.repetition = 1;
  stage.mark.way = way;
  push(stage, way, item.effort);
  yield* wait(stage, item.duration_s);
  relax(stage);
  stage.tire(way);
  stage.mark.repetition = 0;
  stage.mark.way = 0;
  yield* wait(stage, SETTLE_S);
}

function* repetitions(
  item: Extract<ScriptItem, { kind: 'isokinetic' | 'isotonic' }>,
  stage: Stage,
): Steps {
  for (let repetition = 1; repetition <= item.repetitions; repetition++) {
    for (const way of [-1, 1] as const) {
      const action = item.kind === 'isotonic' ? 'concentric' : way < 0 ? item.falling : item.rising;
      if (action === 'eccentric') yield* eccentric(item, way, repetition, stage);
      else yield* concentric(item, way, repetition, stage);
    }
  }
  yield* wait(stage, EASE_AFTER_S);
  relax(stage);
  stage.machine.order({ kind: 'hold' });
  stage.mark.repetition = 0;
  stage.mark.way = 0;
  yield* wait(stage, SETTLE_S);
}

function* concentric(
  item: Extract<ScriptItem, { kind: 'isokinetic' | 'isotonic' }>,
  way: 1 | -1,
  repetition: number,
  stage: Stage,
): Steps {
  const { machine, rig } = stage;
  const short = item.kind === 'isokinetic' && item.short?.repetition === repetition && item.short;
  const isTurningEarly = way > 0 && short !== false;
  if (!isTurningEarly) yield* turnRound(stage, way);

  stage.mark.repetition = repetition;
  stage.mark.way = way;
  const speed_degps = item.kind === 'isokinetic' ? item.speed_degps : ISOTONIC_MOST_DEGPS;
  const load_Nm = item.kind === 'isokinetic' ? 0 : item.load_Nm;
  machine.order({ kind: 'limit', speed_radps: speed_degps * DEG, load_Nm });
  push(stage, way, 1);
  const [least, most] = rig.range_deg;
  const turn_deg = short === false ? least : most - short.share * (most - least);
  const end_rad = (way > 0 ? most : turn_deg) * DEG;
  let still_s = 0;
  while (still_s < STALLED_S && way * (end_rad - machine.state.angle_rad) > ARRIVED_RAD) {
    const isMoving = way * machine.state.velocity_radps > STALLED_RADPS;
    still_s = isMoving ? 0 : still_s + stage.step_s;
    yield;
  }
  stage.tire(way);
}

/** At the end of a movement the subject eases off, sees that it is over, and wishes otherwise. */
function* turnRound(stage: Stage, next: 1 | -1): Steps {
  yield* wait(stage, EASE_AFTER_S);
  const before = Math.max(stage.wish.rising, stage.wish.falling);
  if (before > 0) push(stage, next > 0 ? -1 : 1, EASED * before);
  const reaction_s = REACTION_LEAST_S + REACTION_SPREAD_S * stage.random.uniform();
  yield* wait(stage, reaction_s - EASE_AFTER_S);
}

/** The machine moves the limb against an effort that was there before. */
function* eccentric(
  item: Extract<ScriptItem, { kind: 'isokinetic' | 'isotonic' }>,
  way: 1 | -1,
  repetition: number,
  stage: Stage,
): Steps {
  const { machine, rig } = stage;
  const speed_degps = item.kind === 'isokinetic' ? item.speed_degps : PLACING_DEGPS;
  machine.order({ kind: 'hold' });
  const against = way > 0 ? -1 : 1;
  push(stage, against, 1);
  yield* wait(stage, PRELOAD_S);
  stage.mark.repetition = repetition;
  stage.mark.way = way;
  yield* move(stage, rig.range_deg[way > 0 ? 1 : 0], speed_degps);
  machine.order({ kind: 'hold' });
  stage.tire(against);
}

function* move(stage: Stage, target_deg: number, speed_degps: number): Steps {
  const { machine } = stage;
  machine.order({ kind: 'drive', target_rad: target_deg * DEG, speed_radps: speed_degps * DEG });
  do yield;
  while (!machine.state.isThere);
}

function* wait(stage: Stage, duration_s: number): Steps {
  const steps = Math.round(duration_s / stage.step_s);
  for (let i = 0; i < steps; i++) yield;
}

/** Wishes one direction and lets go of the other; an effort never asks for more than there is. */
function push(stage: Stage, way: 1 | -1, effort: number): void {
  const level = Math.min(1, effort * (1 + stage.effortVariation * stage.random.gauss()));
  stage.wish.rising = way > 0 ? level : 0;
  stage.wish.falling = way < 0 ? level : 0;
}

function relax(stage: Stage): void {
  stage.wish.rising = 0;
  stage.wish.falling = 0;
}
