/** Electrical spikes of one sample, repaired as the recipe says before anything else is computed. */
import { repairSpikes } from '../dsp/spike.ts';
import type { Recipe } from '../recipe/recipe.ts';

/** Copies the column, repaired where the recipe does not keep spikes and a sample is short enough. */
export function copyWithoutSpikes(
  x: Float64Array,
  least: number | null,
  { spikeNoise_factor, spikeLongest_ms }: Recipe['conditioning'],
  rate_Hz: number,
  out: Float64Array,
): void {
  out.set(x);
  if (least === null || 1000 / rate_Hz > spikeLongest_ms || !hasBend(x, least)) return;
  for (const { index, is } of repairSpikes(x, { least, spreads: spikeNoise_factor }).spikes) {
    out[index] = is;
  }
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
