/** Electrical spikes of one sample, repaired as the recipe says before anything else is computed. */
import { repairSpikes } from '../dsp/spike.ts';
import type { Recipe } from '../recipe/recipe.ts';

/** A copy of the column, repaired where the recipe does not keep spikes and a sample is short enough. */
export function withoutSpikes(
  x: Float64Array,
  least: number | null,
  { spikeNoise_factor, spikeLongest_ms }: Recipe['conditioning'],
  rate_Hz: number,
): Float64Array {
  if (least === null || 1000 / rate_Hz > spikeLongest_ms) return x.slice();
  if (!hasBend(x, least)) return x.slice();
  return repairSpikes(x, { least, spreads: spikeNoise_factor }).repaired;
}

/** True when some sample lies this far from the line between its neighbours: most columns have none. */
function hasBend(x: Float64Array, least: number): boolean {
  const twice = 2 * least;
  let before = x[0];
  let here = x[1];
  for (let i = 2; i < x.length; i += 1) {
    const after = x[i];
    const bend = 2 * here - before - after;
    if (bend > twice || bend < -twice) return true;
    before = here;
    here = after;
  }
  return false;
}
