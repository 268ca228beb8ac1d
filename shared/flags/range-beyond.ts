/** The limb is past a software limit of its range. It warns; it stops nothing. */
import type { LiveFlag } from './index.ts';
import { watchLadder } from './ladder.ts';
import { tenths } from './words.ts';

export const rangeBeyond: LiveFlag = {
  kind: 'rangeBeyond',
  priority: 'high',
  about: 'The angle is past a limit of the range of motion.',
  create({ range_deg, rising, falling, rate_Hz, thresholds }) {
    if (range_deg === null) return watchLadder('angle_deg', [], 0, rate_Hz);
    const [lower, upper] = range_deg;
    return watchLadder(
      'angle_deg',
      [
        {
          upper,
          lower,
          make: ({ value, limit, side, start_s, end_s }) => ({
            kind: 'rangeBeyond',
            priority: 'high',
            start_s,
            end_s,
            value,
            limit,
            unit: 'deg',
            message:
              `Past the range limit toward ${side === 1 ? rising : falling}: ` +
              `${tenths(value)}°, limit ${tenths(limit)}°.`,
          }),
        },
      ],
      thresholds.rangeHysteresis_deg,
      rate_Hz,
    );
  },
};
