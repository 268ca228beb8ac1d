/** Electrical spikes of one sample, repaired as the recipe says before anything else is computed. */
import { repairSpikes } from '../dsp/spike.ts';
import type { Recipe } from '../recipe/recipe.ts';

/** The column itself where the recipe keeps spikes, or a sample lasts too long to be one. */
export function withoutSpikes(
  x: Float64Array,
  least: number | null,
  { spikeNoise_factor, spikeLongest_ms }: Recipe['conditioning'],
  rate_Hz: number,
): Float64Array {
  if (least === null || 1000 / rate_Hz > spikeLongest_ms) return x;
  return repairSpikes(x, { least, spreads: spikeNoise_factor }).repaired;
}
