/**
 * What the subject's screen is told, and how often: the lane when it changes, the level at most sixty
 * times a second, and at once that data are missing.
 */
import { patternById } from '../../shared/joints/index.ts';
import { type Lane, laneOf, levelOf } from '../../shared/session/lane.ts';
import type { Progress } from '../../shared/session/set-watch.ts';
import type { LaneEvent, Setup, SourceState } from '../../shared/wire/events.ts';

/** One frame of a screen. */
const LEVEL_EVERY_ns = 1e9 / 60;
/** A screen that hears nothing takes the station for dead. */
const LANE_AT_LEAST_EVERY_ns = 1e9;

export interface LaneFeed {
  update(progress: Progress, setup: Setup, source: SourceState, now_ns: number): void;
}

export function createLaneFeed(tell: (event: LaneEvent) => void): LaneFeed {
  let lane: Lane | null = null;
  let level: number | null | undefined;
  let laneAt_ns = -Infinity;
  let levelAt_ns = -Infinity;

  return {
    update(progress, setup, source, now_ns) {
      const nextLane = laneOf(progress, setup, patternById(setup.pattern), source);
      const isOld = now_ns - laneAt_ns >= LANE_AT_LEAST_EVERY_ns;
      if (!lane || isOld || !isSame(lane, nextLane)) {
        lane = nextLane;
        laneAt_ns = now_ns;
        tell(lane);
      }
      const nextLevel = levelOf(progress, setup, source);
      const isUrgent = nextLevel === null || level === null;
      if (nextLevel === level || (!isUrgent && now_ns - levelAt_ns < LEVEL_EVERY_ns)) return;
      level = nextLevel;
      levelAt_ns = now_ns;
      tell({ type: 'level', level });
    },
  };
}

function isSame(a: Lane, b: Lane): boolean {
  return (
    a.phase === b.phase &&
    a.form === b.form &&
    a.word === b.word &&
    a.done === b.done &&
    a.of === b.of &&
    a.limb === b.limb &&
    a.way === b.way
  );
}
