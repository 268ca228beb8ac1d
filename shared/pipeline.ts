/**
 * The live pipeline: a raw block in, a block of columns in units out, by the stages in their order.
 * It allocates only when a block length is new. Live, replayed and in the browser it is the same object.
 */
import type { Block, QuantityName, StreamBlock } from './block/block.ts';
import { STAGES, type LiveChoices, type RunningStage } from './stages/index.ts';
import type { LiveColumn } from './wire/events.ts';
import type { Plan } from './wiring/wire.ts';

export interface Pipeline {
  readonly columns: readonly LiveColumn[];
  /** The block is lent until the next push: copy what is kept. Blocks must fit the plan's format. */
  push(block: StreamBlock): Block;
}

export const LIVE_CHOICES: LiveChoices = {
  torqueCutOff_Hz: 20,
  angleCutOff_Hz: 15,
  order: 2,
  gravity: { kind: 'none' },
};

/** Bursts give blocks of a few lengths; past this many the memory is given back. */
const MAX_LENGTHS = 64;

/** Memory for blocks of one length: every stage's columns in order, and the block made of them. */
interface Slab {
  readonly inputs: readonly Float64Array[][];
  readonly outputs: readonly Float64Array[][];
  readonly block: { -readonly [K in keyof Block]: Block[K] };
}

export function createPipeline(plan: Plan, choices: LiveChoices = LIVE_CHOICES): Pipeline {
  const stages = createStages(plan, choices);
  const nChannels = 1 + plan.columns.reduce((most, column) => Math.max(most, column.source), -1);
  const slabs = new Map<number, Slab>();
  let run = -1;
  let next = 0;

  function slabFor(n: number): Slab {
    let slab = slabs.get(n);
    if (slab === undefined) {
      if (slabs.size >= MAX_LENGTHS) slabs.clear();
      slab = createSlab(stages, plan.rate_Hz, n);
      slabs.set(n, slab);
    }
    return slab;
  }

  return {
    columns: stages.flatMap((stage) => stage.writes),
    push(raw) {
      if (raw.columns.length < nChannels) {
        throw new Error(
          `the plan is for ${nChannels} channels, the block has ${raw.columns.length}`,
        );
      }
      const { n } = raw;
      const { inputs, outputs, block } = slabFor(n);
      const afterGap = run >= 0 && (raw.index !== next || raw.run !== run);
      for (let s = 0; s < stages.length; s += 1) {
        const stage = stages[s];
        const { reads } = stage;
        if (afterGap) stage.restart();
        for (let k = 0; k < reads.length; k += 1) {
          const read = reads[k];
          if (typeof read === 'number') inputs[s][k] = raw.columns[read];
        }
        stage.run(inputs[s], outputs[s], n);
      }
      run = raw.run;
      next = raw.index + n;
      block.index = raw.index;
      block.afterGap = afterGap;
      return block;
    },
  };
}

function createStages(plan: Plan, choices: LiveChoices): RunningStage[] {
  const present = new Set<QuantityName>();
  const running: RunningStage[] = [];
  for (const { create } of STAGES) {
    const stage = create(plan, choices, present);
    if (stage === null) continue;
    stage.writes.forEach((column) => present.add(column.name));
    running.push(stage);
  }
  return running;
}

function createSlab(stages: readonly RunningStage[], rate_Hz: number, n: number): Slab {
  const columns = new Map<QuantityName, Float64Array>();
  const outputs = stages.map(({ writes }) =>
    writes.map(({ name }) => {
      const column = new Float64Array(n);
      columns.set(name, column);
      return column;
    }),
  );
  const nothing = new Float64Array();
  const inputs = stages.map(({ reads }) =>
    reads.map((read) => (typeof read === 'number' ? nothing : (columns.get(read) ?? nothing))),
  );
  return { inputs, outputs, block: { rate_Hz, index: 0, n, afterGap: false, columns } };
}
