/** The energy that a passive movement there and back does not give back: measured over neighbours. */
import { hysteresis } from '../gravity/stiffness.ts';
import type { FoundPhase } from '../segmentation/phase.ts';

/** For the README's table: it belongs to a pair of phases, so it is no measure of one. */
export const HYSTERESIS = {
  id: 'hysteresis_J',
  name: 'Hysteresis',
  unit: 'J',
  formula: '|∮ τ dθ| of a passive movement and the next one back, over the angles both passed',
  source: 'usual definition',
  check: 'hysteresis of a stretch (unit test of shared/gravity), analysis of two sweeps',
} as const;

interface Sweep {
  readonly direction: 1 | -1;
  readonly angle_deg: Float64Array;
  readonly torque_Nm: Float64Array;
}

/** Takes phases in order; a pair of opposite directions closes a loop, and each belongs to one at most. */
export class LoopMeter {
  /** Joules of the loop that each phase so far is part of; null for none. Not negative. */
  readonly energies_J: (number | null)[] = [];
  #open: Sweep | null = null;

  add({ window }: FoundPhase): void {
    const { action, direction, effort, first, end, angle_deg, torque_Nm } = window;
    this.energies_J.push(null);
    if (action !== 'passive' || angle_deg === null) return;
    const sweep: Sweep = {
      direction,
      angle_deg: angle_deg.subarray(first, end),
      torque_Nm: torque_Nm.subarray(first, end).map((torque) => effort * torque),
    };
    if (this.#open === null || this.#open.direction === direction) {
      this.#open = sweep;
      return;
    }
    const energy_J = hysteresis(this.#open, sweep)?.energy_J ?? null;
    const n = this.energies_J.length;
    this.energies_J[n - 2] = energy_J;
    this.energies_J[n - 1] = energy_J;
    this.#open = null;
  }
}
