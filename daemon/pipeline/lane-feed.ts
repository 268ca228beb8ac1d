/**
 * What the subject's screen is told, and how often: the lane when it changes, the level at most sixty
 * times a second, and at once that data are missing.
 */
import { patternById } from '../../shared/joints/index.ts';
import { type Lane, laneOf, type LaneRun, levelOf } from '../../shared/session/lane.ts';
import type { Progress } from '../../shared/session/set-watch.ts';
import type { LaneEvent, Setup, SourceState } from '../../shared/wire/events.ts';

/** One frame of a screen. */
const LEVEL_EVERY_ns = 1e9 / 60;
/** A level that stays is told again, so that a stalled network shows within half a second. */
const LEVEL_AT_LEAST_EVERY_ns = 2e8;
/** A screen that hears nothing takes the station for dead. */
const LANE_AT_LEAST_EVERY_ns = 1e9;

export interface LaneNow {
  readonly progress: Progress;
  readonly setup: Setup;
  readonly source: SourceState;
  readonly run: LaneRun;
}

export interface LaneFeed {
  update(now: LaneNow, now_ns: number): void;
}

export function createLaneFeed(tell: (event: LaneEvent) => void): LaneFeed {
  let lane: Lane | null = null;
  let level: number | null | undefined;
  let laneAt_ns = -Infinity;
  let levelAt_ns = -Infinity;

  return {
    update({ progress, setup, source, run }, now_ns) {
      const nextLane = laneOf(progress, setup, patternById(setup.pattern), source, run);
      const isOld = now_ns - laneAt_ns >= LANE_AT_LEAST_EVERY_ns;
      if (!lane || isOld || !isSame(lane, nextLane)) {
        lane = nextLane;
        laneAt_ns = now_ns;
        tell(lane);
      }
      const nextLevel = levelOf(progress, setup, source, run);
      const isUrgent = nextLevel === null || level === null;
      const age_ns = now_ns - levelAt_ns;
      const isNews = nextLevel !== level || age_ns >= LEVEL_AT_LEAST_EVERY_ns;
      if (!isNews || (!isUrgent && age_ns < LEVEL_EVERY_ns)) return;
      level = nextLevel;
      levelAt_ns = now_ns;
      tell({ type: 'level', level });
    },
  };
}

/** The target's clock runs by itself on the screen. */
function isSame(a: Lane, b: Lane): boolean {
  return stillOf(a) === stillOf(b);
}

function stillOf({ target, ...lane }: Lane): string {
  return JSON.stringify([lane, target && { ...target, at_s: 0 }]);
}
