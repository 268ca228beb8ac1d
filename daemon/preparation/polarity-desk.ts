/** The polarity check that is open at a station; its result is stored the moment it is there. */
import { patternById } from '../../shared/joints/index.ts';
import { createPolarityRun, type PolarityRun } from '../../shared/preparation/polarity.ts';
import type { Block } from '../../shared/block/block.ts';
import { bodyOf, expectedFor } from './expected.ts';
import type { WeighingDeskOptions } from './weighing-desk.ts';

export interface PolarityDesk {
  readonly run: PolarityRun | null;
  start(): string | null;
  push(block: Block): void;
  end(): void;
}

/** For the resting torque only: heavier than most, so that no one's weight is taken for a held zero. */
const HEAVY_BODY_KG = 110;
/** Stored by the station itself, not by a person. */
const WHO = 'station';

export function createPolarityDesk({
  catalogue,
  setup,
  whose,
  stored,
}: Pick<WeighingDeskOptions, 'catalogue' | 'setup' | 'whose' | 'stored'>): PolarityDesk {
  let run: PolarityRun | null = null;

  return {
    get run() {
      return run;
    },
    start() {
      const { pattern: id, side, subject } = setup();
      const pattern = patternById(id);
      if (!pattern) return `There is no joint pattern ${id}.`;
      const body = bodyOf(catalogue, subject);
      const mass_kg = body.mass_kg ?? HEAVY_BODY_KG;
      const expected = expectedFor(pattern, setup(), { ...body, mass_kg });
      run = createPolarityRun({ pattern, side, mostWeight_Nm: expected.plausible_Nm[1] });
      return null;
    },
    push(block) {
      if (!run || run.view.stage === 'done') return;
      run.push(block);
      const { result } = run.view;
      if (!result) return;
      catalogue.create('polarity', { ...whose(), ...result }, WHO);
      stored();
    },
    end() {
      run = null;
    },
  };
}
