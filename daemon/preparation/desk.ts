/**
 * Preparing a test at a station: what is in force for the limb that is tested now, and the weighing and
 * the polarity check that are open, fed by the live blocks. What is used is stored in the catalogue.
 */
import type { Block, StreamBlock } from '../../shared/block/block.ts';
import type { Gravity } from '../../shared/gravity/gravity.ts';
import type { PreparationState } from '../../shared/preparation/state.ts';
import type { Setup } from '../../shared/wire/events.ts';
import type { Wiring } from '../../shared/wiring/schema.ts';
import type { Catalogue } from '../catalogue/catalogue.ts';
import type { Item } from '../catalogue/items.ts';
import { createCalibrationDesk, type CalibrationDesk } from './calibration-desk.ts';
import { inForce, type InForce } from './in-force.ts';
import { createPolarityDesk, type PolarityDesk } from './polarity-desk.ts';
import { createWeighingDesk, type WeighingDesk } from './weighing-desk.ts';

export interface PreparationOptions {
  readonly catalogue: Catalogue;
  readonly setup: () => Setup;
  readonly station: () => string;
  readonly now: () => Date;
  readonly isRecording: () => boolean;
  readonly wiring: () => Wiring | null;
  /** What is wrong with it; empty when it is in use. */
  readonly useWiring: (wiring: Wiring) => Promise<readonly string[]>;
  /** What is removed from torque is another from now on. */
  readonly gravityChanged: () => void;
}

export interface PreparationDesk {
  readonly state: PreparationState;
  /** Earlier weighings, to lay under the live one. */
  readonly before: Pick<InForce, 'last' | 'other'>;
  /** What the live pipeline removes. */
  readonly gravity: Gravity;
  /** What a recording that begins now states. */
  readonly stated: Readonly<
    Record<'gravity' | 'weighing' | 'polarity' | 'position', Record<string, unknown> | null>
  >;
  readonly weighing: WeighingDesk;
  readonly polarity: PolarityDesk;
  readonly calibration: CalibrationDesk;
  observe(block: Block): void;
  /** The same samples as the device sent them. */
  observeRaw(block: StreamBlock): void;
  /** The set-up is another, or the catalogue changed: what is open for another limb ends. */
  renew(): void;
}

/** Others write into the catalogue too; it is asked this often whether it changed. */
const LOOK_EVERY_S = 2;

export function createPreparationDesk(options: PreparationOptions): PreparationDesk {
  const { catalogue, setup, station, now, isRecording, gravityChanged } = options;
  let force = inForce(catalogue, setup(), station(), now());
  let limb = limbOf(setup());
  let seen = newestEntry(catalogue);
  let unlooked_s = 0;

  const stored = (): void => {
    seen = newestEntry(catalogue);
    const before = JSON.stringify(force.weighed?.body.gravity);
    force = inForce(catalogue, setup(), station(), now());
    if (JSON.stringify(force.weighed?.body.gravity) !== before) gravityChanged();
  };
  const whose = () => {
    const { subject, pattern, side } = setup();
    return { subject, pattern, side, station: station(), at: now().toISOString() };
  };
  const inForceNow = () => force.weighed;
  const weighing = createWeighingDesk({
    ...{ catalogue, setup, whose, isRecording, stored },
    inForce: inForceNow,
    position: () => force.position,
  });
  const calibration = createCalibrationDesk(options);
  const polarity = createPolarityDesk({ catalogue, setup, whose, stored });

  return {
    weighing,
    polarity,
    calibration,
    get state() {
      return {
        weighed: force.weighed?.body ?? null,
        polarity: force.polarity,
        position: force.isPositionOfNow ? positionSummary(force.position) : null,
        weighing: weighing.run?.view ?? null,
        checking: polarity.run?.view ?? null,
        calibration: calibration.run?.view ?? null,
      };
    },
    get before() {
      if (newestEntry(catalogue) !== seen) stored();
      return { last: force.last, other: force.other };
    },
    get gravity() {
      return force.weighed?.body.gravity ?? { kind: 'none' };
    },
    get stated() {
      const { weighed, position } = force;
      return {
        gravity: weighed && { ...weighed.body.gravity },
        weighing: weighed && { id: weighed.id, ...weighed.body },
        polarity: force.polarity && { ...force.polarity },
        position: position && { id: position.id, revision: position.revision, ...position.body },
      };
    },
    observeRaw: (block) => calibration.push(block),
    observe(block) {
      weighing.run?.push(block);
      polarity.push(block);
      unlooked_s += block.n / block.rate_Hz;
      if (unlooked_s < LOOK_EVERY_S) return;
      unlooked_s = 0;
      if (newestEntry(catalogue) !== seen) stored();
    },
    renew() {
      stored();
      if (limbOf(setup()) === limb) return;
      limb = limbOf(setup());
      weighing.end();
      polarity.end();
    },
  };
}

function positionSummary(position: Item | null): PreparationState['position'] {
  const { values = {}, checks = [] } = position?.body ?? {};
  const isWritten = typeof values === 'object' && Object.keys(values ?? {}).length > 0;
  return { isWritten, nChecks: Array.isArray(checks) ? checks.length : 0 };
}

function newestEntry(catalogue: Catalogue): string {
  return catalogue.audit({ limit: 1, offset: 0 })[0]?.id ?? '';
}

function limbOf({ subject, pattern, side }: Setup): string {
  return [subject, pattern, side].join(' ');
}
