/**
 * One raw block's way through the live computation: calibrate and filter, watch for flags, follow the
 * set. Built anew when the device's format, the wiring or the set-up changes. Knows no sink.
 */
import type { Block, StreamBlock, StreamFormat } from '../../shared/block/block.ts';
import type { Flag } from '../../shared/flags/flag.ts';
import type { FlagWatcher } from '../../shared/flags/index.ts';
import { watchLive } from '../../shared/flags/live.ts';
import type { Gravity } from '../../shared/gravity/gravity.ts';
import { patternById } from '../../shared/joints/index.ts';
import { createPipeline, LIVE_CHOICES, type Pipeline } from '../../shared/pipeline.ts';
import { presetRecipe } from '../../shared/recipe/presets.ts';
import { flagThresholds } from '../../shared/recipe/recipe.ts';
import { createSetWatch, type Progress, type SetWatch } from '../../shared/session/set-watch.ts';
import type { LiveColumn, Setup } from '../../shared/wire/events.ts';
import type { Wiring } from '../../shared/wiring/schema.ts';
import { type Plan, wire } from '../../shared/wiring/wire.ts';

/** What the computation depends on; it is asked at every (re)building. */
export interface LiveContext {
  readonly setup: Setup;
  readonly wiring: Wiring | null;
  /** What the limb's weight adds to the reading; `none` until it was weighed. */
  readonly gravity: () => Gravity;
  /** Samples a second as measured against the host's clock; null while unknown. */
  readonly measuredRate_Hz: () => number | null;
}

/** What one block led to. Its columns are used again for the next block: copy what is kept. */
export interface LiveResult {
  readonly block: Block;
  readonly flags: readonly Flag[];
  readonly progress: Progress;
  readonly isPhaseEnd: boolean;
}

/** What the stream looks like now; another object when that changes. */
export interface Shape {
  /** Null until the device is known. */
  readonly format: StreamFormat | null;
  /** What the pages get, in the order of a block's columns. */
  readonly columns: readonly LiveColumn[];
  /** Columns that the device measures, as against computed ones. */
  readonly measured: readonly string[];
  /** Why nothing is computed, or what a person should know of the wiring. */
  readonly troubles: readonly string[];
}

export interface Live {
  readonly shape: Shape;
  /** Index of the sample that comes next. */
  readonly nextIndex: number;
  readonly progress: Progress;
  /** Null when the wiring does not fit the device. */
  push(block: StreamBlock): LiveResult | null;
  /** The wiring changed, or the stream is another. */
  changeWiring(): void;
  changeSetup(): void;
  /** The next block goes through other stages; the flags begin anew with it. */
  changeGravity(): void;
  /** A new set begins. */
  restart(): void;
}

interface Running {
  readonly plan: Plan;
  readonly pipeline: Pipeline;
  flags: FlagWatcher;
}

const NOTHING: Shape = { format: null, columns: [], measured: [], troubles: [] };

export function createLive(context: () => LiveContext): Live {
  let shape = NOTHING;
  let running: Running | null = null;
  let nextIndex = 0;
  let watch: SetWatch = createSetWatch(context().setup);

  const build = (format: StreamFormat): void => {
    const wired = wire(format, context().wiring);
    if ('problems' in wired) {
      running = null;
      shape = { ...NOTHING, format, troubles: wired.problems };
      return;
    }
    const { plan } = wired;
    const gravity = context().gravity();
    const pipeline = createPipeline(plan, { ...LIVE_CHOICES, gravity });
    running = { plan, pipeline, flags: watchFlags(context(), plan) };
    const measured = plan.columns.map(({ name }) => name);
    shape = { format, columns: pipeline.columns, measured, troubles: plan.notices };
  };

  return {
    get shape() {
      return shape;
    },
    get nextIndex() {
      return nextIndex;
    },
    get progress() {
      return watch.progress;
    },
    push(raw) {
      nextIndex = raw.index + raw.n;
      if (raw.format !== shape.format) build(raw.format);
      if (!running) return null;
      const block = running.pipeline.push(raw);
      const flags = running.flags.push(block);
      const { nEnded } = watch.progress;
      const progress = watch.push(block);
      return { block, flags, progress, isPhaseEnd: progress.nEnded !== nEnded };
    },
    changeWiring() {
      shape = NOTHING;
      running = null;
    },
    changeSetup() {
      watch = createSetWatch(context().setup);
      if (running) running.flags = watchFlags(context(), running.plan);
    },
    changeGravity() {
      shape = NOTHING;
      running = null;
    },
    restart: () => watch.restart(),
  };
}

function watchFlags({ setup, measuredRate_Hz }: LiveContext, plan: Plan): FlagWatcher {
  const pattern = patternById(setup.pattern);
  const ends = plan.columns.flatMap(({ name, converterEnds }) =>
    converterEnds ? [[name, converterEnds] as const] : [],
  );
  return watchLive({
    rate_Hz: plan.rate_Hz,
    mode: setup.mode,
    rising: pattern?.rising ?? 'rising',
    falling: pattern?.falling ?? 'falling',
    range_deg: setup.rangeLimits_deg,
    torqueLimit_Nm: setup.torqueLimit_Nm,
    referenceTorque_Nm: null,
    converterEnds: new Map(ends),
    measuredRate_Hz,
    thresholds: flagThresholds(presetRecipe(setup)),
  });
}
