/**
 * The calibration that is open at a station: raw samples of the torque channel go in, and what is accepted
 * becomes the wiring in use and is stored with everything behind it. Refusals are told in words.
 */
import type { StreamBlock } from '../../shared/block/block.ts';
import { calibrationRecord } from '../../shared/calibration/record.ts';
import { TORQUE_LIMITS } from '../../shared/calibration/acceptance.ts';
import {
  createCalibrationRun,
  planTrouble,
  type CalibrationPlan,
  type CalibrationRun,
} from '../../shared/preparation/calibration-run.ts';
import type { WiredChannel, Wiring } from '../../shared/wiring/schema.ts';
import { wire } from '../../shared/wiring/wire.ts';
import type { Catalogue } from '../catalogue/catalogue.ts';

export interface CalibrationDesk {
  readonly run: CalibrationRun | null;
  push(block: StreamBlock): void;
  start(plan: CalibrationPlan): string | null;
  /** Stores the calibration and takes it into use; why not, or null. */
  accept(who: string): Promise<string | null>;
  end(): void;
}

export interface CalibrationDeskOptions {
  readonly catalogue: Catalogue;
  readonly wiring: () => Wiring | null;
  readonly station: () => string;
  readonly now: () => Date;
  readonly isRecording: () => boolean;
  /** What is wrong with it; empty when it is in use. */
  readonly useWiring: (wiring: Wiring) => Promise<readonly string[]>;
}

const RECORDING = 'A recording is under way; end it before the calibration changes.';

export function createCalibrationDesk(options: CalibrationDeskOptions): CalibrationDesk {
  const { catalogue, wiring, station, now, isRecording, useWiring } = options;
  let run: CalibrationRun | null = null;
  /** Place of the torque channel among the raw columns; null until a block tells. */
  let source: number | null = null;

  const torqueChannel = (): WiredChannel | null =>
    wiring()?.channels.find(({ quantity }) => quantity === 'torque') ?? null;

  return {
    get run() {
      return run;
    },
    push(block) {
      if (!run) return;
      source ??= sourceOf(block, wiring());
      const values = source === null ? undefined : block.columns[source];
      if (values) run.push(values, block.n, block.format.rate_Hz);
    },
    start(plan) {
      if (isRecording()) return RECORDING;
      const channel = torqueChannel();
      if (!channel) return 'The wiring names no torque channel: say first which channel it is.';
      const trouble = planTrouble(plan);
      if (trouble !== '') return trouble;
      source = null;
      const sign = channel.sign ?? 1;
      run = createCalibrationRun(plan, {
        slope: sign * (channel.slope ?? 1),
        offset: sign * (channel.offset ?? 0),
      });
      return null;
    },
    async accept(who) {
      if (!run) return 'No calibration is open.';
      if (isRecording()) return RECORDING;
      const { view } = run;
      const { acceptance, fit, used, plan } = view;
      if (!fit || !acceptance) return 'There are too few readings for a line.';
      if (!acceptance.isAccepted) return acceptance.reasons.join(' ');
      const before = wiring();
      const channel = torqueChannel();
      if (!before || !channel) return 'The wiring names no torque channel.';
      const name = String(channel.channel);
      const belonging = { station: station(), channel: name, outputSettings: {} };
      const points = used.flatMap((k) => view.readings[k] ?? []);
      const date = now().toISOString().slice(0, 10);
      const limits = { ...TORQUE_LIMITS, bothDirections: plan.isBothWays };
      const record = calibrationRecord(belonging, date, points, plan.toMeasure_Nm, limits);
      if (!record) return 'There are too few readings for a line.';
      const { slope, offset } = record;
      const kept = { ...record, named: view.named, excluded: view.excluded };
      catalogue.create(
        'calibration',
        { station: station(), channel: name, slope, offset, unit: 'Nm', date, record: kept },
        who,
      );
      const channels = before.channels.map((each) =>
        each === channel
          ? { ...each, unit: 'Nm', slope, offset, sign: 1 as const, calibration: kept }
          : each,
      );
      const problems = await useWiring({ ...before, channels });
      if (problems.length > 0) return problems.join('; ');
      run = null;
      return null;
    },
    end() {
      run = null;
    },
  };
}

function sourceOf({ format }: StreamBlock, wiring: Wiring | null): number | null {
  const wired = wire(format, wiring);
  if ('problems' in wired) return null;
  return wired.plan.columns.find(({ name }) => name === 'torque_Nm')?.source ?? null;
}
