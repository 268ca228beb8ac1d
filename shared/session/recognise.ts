/**
 * What the lever really did in the first repetition, against what the set states. Found by the analysis
 * without being told mode or speed; a difference is said, and a person may adopt it.
 */
import type { AnalysisDocument, Mode, Signal } from '../analysis-types.ts';
import type { Setup } from '../wire/events.ts';

/** Machines hold their speed better than this; common practice, no source. */
const SPEED_OFF = 0.15;
/** A goniometer is read to this; common practice, no source. */
const RANGE_OFF_DEG = 3;
/** Less of the stated range than this is another range. */
const RANGE_SHARE = 0.8;

export interface Shown {
  readonly mode: Mode;
  /** 0 where nothing drives the lever at a speed. */
  readonly speed_degps: number;
  /** Least and most angle of the movements; null when isometric. */
  readonly range_deg: readonly [number, number] | null;
}

export interface Mismatch extends Shown {
  readonly isModeOff: boolean;
  readonly isSpeedOff: boolean;
  readonly isRangeOff: boolean;
}

/** Null while there is no whole repetition to look at. `document` of the very signal, told neither. */
export function shownBy(document: AnalysisDocument, signal: Signal): Shown | null {
  const whole = document.phases.filter(({ reasons }) => !reasons.includes('cut'));
  const mode = modeIn(document.inferred);
  const first = whole[0];
  const last = whole.at(-1);
  if (mode === null || !first || !last) return null;
  if (mode === 'isometric') return { mode, speed_degps: 0, range_deg: null };
  if (whole.length < 2) return null;
  let least = Infinity;
  let most = -Infinity;
  for (const [i, time_s] of signal.time_s.entries()) {
    if (time_s < first.start_s || time_s > last.end_s) continue;
    const angle = signal.angle_deg?.[i] ?? NaN;
    if (angle < least) least = angle;
    if (angle > most) most = angle;
  }
  const range_deg = least < most ? ([least, most] as const) : null;
  const speed_degps = mode === 'isotonic' ? 0 : fastest(document);
  return { mode, speed_degps, range_deg };
}

/** Null when nothing differs. */
export function mismatchOf(shown: Shown, setup: Setup): Mismatch | null {
  const isModeOff = shown.mode !== setup.mode;
  const isDriven = shown.mode === 'isokinetic' || shown.mode === 'passive';
  const off = Math.abs(shown.speed_degps - setup.speed_degps);
  const isSpeedOff = isDriven && off > SPEED_OFF * Math.max(setup.speed_degps, 1);
  const isRangeOff = shown.range_deg !== null && isOtherRange(shown.range_deg, setup);
  return isModeOff || isSpeedOff || isRangeOff
    ? { ...shown, isModeOff, isSpeedOff, isRangeOff }
    : null;
}

function isOtherRange([least, most]: readonly [number, number], setup: Setup): boolean {
  const [low, high] = setup.rangeLimits_deg;
  const isBeyond = least < low - RANGE_OFF_DEG || most > high + RANGE_OFF_DEG;
  return isBeyond || most - least < RANGE_SHARE * (high - low);
}

function modeIn(inferred: Readonly<Record<string, unknown>>): Mode | null {
  const mode = inferred['mode'];
  return mode === 'isokinetic' || mode === 'isotonic' || mode === 'isometric' || mode === 'passive'
    ? mode
    : null;
}

function fastest({ sets }: AnalysisDocument): number {
  return Math.max(0, ...sets.map(({ speed_degps }) => speed_degps ?? 0));
}
