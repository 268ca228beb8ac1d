/**
 * A bad cable: turns, drops, doubles and fouls frames by chance, and counts each exactly. The same
 * seed damages the same frames in the same way.
 */
import { createRandom } from '../../shared/simulation/random.ts';
import type { FaultPlan } from './fault-plan.ts';

/** Frames hit by each fault; a frame can be hit by several. */
export interface Damage {
  corrupted: number;
  dropped: number;
  duplicated: number;
  fouled: number;
}

export interface BadCable {
  readonly damage: Readonly<Damage>;
  /** What comes out at the far end for one frame that goes in; empty when it is dropped. */
  pass(frame: Uint8Array): readonly Uint8Array[];
}

const MOST_JUNK_BYTES = 64;

export function createBadCable(plan: FaultPlan, seed: number): BadCable {
  const random = createRandom(seed, 'cable');
  const damage: Damage = { corrupted: 0, dropped: 0, duplicated: 0, fouled: 0 };
  const happens = (chance: number) => chance > 0 && random.uniform() < chance;
  const below = (end: number) => Math.floor(random.uniform() * end);
  return {
    damage,
    pass(frame) {
      const out: Uint8Array[] = [];
      if (happens(plan.junk)) {
        const junk = Uint8Array.from({ length: 1 + below(MOST_JUNK_BYTES) }, () => below(256));
        damage.fouled += 1;
        out.push(junk);
      }
      if (happens(plan.drop)) {
        damage.dropped += 1;
        return out;
      }
      let sent = frame;
      if (happens(plan.corrupt)) {
        damage.corrupted += 1;
        sent = Uint8Array.from(frame);
        const at = below(sent.length);
        sent[at] = (sent[at] ?? 0) ^ (1 << below(8));
      }
      out.push(sent);
      if (happens(plan.duplicate)) {
        damage.duplicated += 1;
        out.push(sent);
      }
      return out;
    },
  };
}
