/**
 * A channel repeats the very same number although a living signal would not: a dead cable, a held output.
 * Torque always carries noise. A still angle is told only when it ought to move and torque does.
 */
import type { Block, QuantityName } from '../block/block.ts';
import type { Flag } from './flag.ts';
import type { FlagWatcher, LiveContext, LiveFlag } from './index.ts';
import { NO_FLAGS } from './ladder.ts';
import { isBroken } from './run.ts';
import { tenths } from './words.ts';

export const stuck: LiveFlag = {
  kind: 'stuck',
  priority: 'medium',
  about: 'A channel repeats one and the same number while it ought to change.',
  create(context) {
    const isMoving = context.mode !== null && context.mode !== 'isometric';
    const watchers = [watchColumn('torque_Nm', null, context)];
    if (isMoving) watchers.push(watchColumn('angle_deg', 'torque_Nm', context));
    return {
      push: (block) => watchers.flatMap((watcher) => watcher.push(block)),
      end: () => watchers.flatMap((watcher) => watcher.end()),
    };
  },
};

/** `witness` is a column that must have moved meanwhile; null asks for none. */
function watchColumn(
  column: QuantityName,
  witness: QuantityName | null,
  { rate_Hz, thresholds }: LiveContext,
): FlagWatcher {
  const samples = Math.max(2, Math.ceil(thresholds.stuck_s * rate_Hz));
  const moved_Nm = witness === null ? 0 : thresholds.stuckAngleTorque_Nm;
  let previous = Number.NaN;
  let start = 0;
  let expected = -1;
  let isTold = false;
  let least = Number.POSITIVE_INFINITY;
  let most = Number.NEGATIVE_INFINITY;

  function flag(end: number): Flag {
    const [name = column, unit = ''] = column.split('_');
    return {
      kind: 'stuck',
      priority: 'medium',
      start_s: start / rate_Hz,
      end_s: end / rate_Hz,
      value: previous,
      limit: null,
      unit,
      message:
        `The ${name} channel has stood at exactly ${tenths(previous)} ${unit} ` +
        `for more than ${tenths(thresholds.stuck_s)} s: is it connected?`,
    };
  }

  function restart(value: number, at: number, out: Flag[]): void {
    if (isTold) out.push(flag(at));
    [isTold, previous, start] = [false, value, at];
    [least, most] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  }

  return {
    push(block: Block) {
      const values = block.columns.get(column);
      if (values === undefined) return NO_FLAGS;
      const witnesses = witness === null ? undefined : block.columns.get(witness);
      const out: Flag[] = [];
      if (isBroken(block, expected)) restart(Number.NaN, expected, out);
      for (let i = 0; i < block.n; i += 1) {
        const at = block.index + i;
        if (values[i] !== previous) {
          if (isTold) restart(values[i], at, out);
          previous = values[i];
          start = at;
          least = Number.POSITIVE_INFINITY;
          most = Number.NEGATIVE_INFINITY;
        }
        if (witnesses !== undefined) {
          if (witnesses[i] < least) least = witnesses[i];
          if (witnesses[i] > most) most = witnesses[i];
        }
        if (isTold || at - start + 1 < samples) continue;
        if (witness !== null && !(most - least >= moved_Nm)) continue;
        isTold = true;
        out.push(flag(start));
      }
      expected = block.index + block.n;
      return out;
    },
    end() {
      const out: Flag[] = [];
      restart(Number.NaN, expected, out);
      return out;
    },
  };
}
