/** Blocks of the simulated machine, calibrated as live ones are, for tests of preparing. */
import type { Block } from '../../../shared/block/block.ts';
import { createPipeline } from '../../../shared/pipeline.ts';
import { createSimulation, type SimulationOptions } from '../../../shared/simulation/index.ts';
import { parseScript } from '../../../shared/simulation/script.ts';
import type { Wiring } from '../../../shared/wiring/schema.ts';
import { wire } from '../../../shared/wiring/wire.ts';

const BLOCK = 20;

export interface PlayOptions extends Omit<SimulationOptions, 'script'> {
  readonly script: string;
  /** Another wiring than the device's own. */
  readonly rewire?: (wiring: Wiring) => Wiring;
}

/** Plays a script to its end; each block is lent until the next one. */
export function playInto(push: (block: Block) => void, options: PlayOptions) {
  const items = parseScript(options.script, { speed_degps: 60, repetitions: 5 });
  if (typeof items === 'string') throw new Error(items);
  const simulation = createSimulation({ ...options, script: items });
  const wired = wire(simulation.format, (options.rewire ?? ((w) => w))(simulation.wiring));
  if ('problems' in wired) throw new Error(wired.problems.join('; '));
  const pipeline = createPipeline(wired.plan);
  for (let index = 0; !simulation.isOver; index += BLOCK) {
    const { columns } = simulation.next(BLOCK);
    const { format } = simulation;
    push(pipeline.push({ format, run: 0, first: index, index, n: BLOCK, columns, arrival_ns: 0 }));
  }
  return simulation;
}
