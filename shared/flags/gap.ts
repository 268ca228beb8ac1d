/** Samples are missing: a hole in the stream, or values that are not numbers. Nothing is bridged. */
import type { Block } from '../block/block.ts';
import { createBurst, type Events } from './burst.ts';
import type { Flag } from './flag.ts';
import type { LiveFlag } from './index.ts';
import { counted, whole } from './words.ts';

export const gap: LiveFlag = {
  kind: 'gap',
  priority: 'medium',
  about: 'Samples are missing: a hole in the stream, or values that are not numbers.',
  create({ rate_Hz, thresholds }) {
    const burst = createBurst(thresholds.gapMerge_s, rate_Hz, (events) =>
      gapFlag(events, thresholds.gapTolerated_ms),
    );
    let expected = -1;
    let holeStart = -1;

    function hole(end: number, out: Flag[]): void {
      if (holeStart < 0) return;
      if (end > holeStart) burst.hit(holeStart, end, (1000 * (end - holeStart)) / rate_Hz, out);
      holeStart = -1;
    }

    return {
      push(block: Block) {
        const torque = block.columns.get('torque_Nm');
        const angle = block.columns.get('angle_deg') ?? torque;
        const out: Flag[] = [];
        if (expected >= 0 && block.index > expected && holeStart < 0) holeStart = expected;
        for (let i = 0; i < block.n; i += 1) {
          const isMissing = isNaNAt(torque, i) || isNaNAt(angle, i);
          if (isMissing) {
            if (holeStart < 0) holeStart = block.index + i;
          } else if (holeStart >= 0) hole(block.index + i, out);
          burst.pass(block.index + i, out);
        }
        expected = block.index + block.n;
        return out;
      },
      end() {
        const out: Flag[] = [];
        hole(expected, out);
        burst.end(out);
        return out;
      },
    };
  },
};

function isNaNAt(column: Float64Array | undefined, i: number): boolean {
  return column !== undefined && column[i] !== column[i];
}

/** One flag for holes close together; `worst` of the events is the longest hole in milliseconds. */
export function gapFlag(holes: Events, tolerated_ms: number): Flag {
  const isLong = holes.worst > tolerated_ms;
  return {
    kind: 'gap',
    priority: isLong ? 'medium' : 'low',
    start_s: holes.start_s,
    end_s: holes.end_s,
    value: holes.worst,
    limit: tolerated_ms,
    unit: 'ms',
    message:
      `Samples are missing: ${counted(holes.count, 'hole')}, longest ${whole(holes.worst)} ms` +
      (isLong
        ? `. Longer than ${whole(tolerated_ms)} ms: a phase with it does not count.`
        : '. No peak is taken inside.'),
  };
}
