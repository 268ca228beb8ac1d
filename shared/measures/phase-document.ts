/** A found phase as the document shows it: names, standing, all measures. */
import type { LoadRange, Phase } from '../analysis-types.ts';
import type { JointPattern } from '../joints/pattern.ts';
import type { FoundPhase } from '../segmentation/phase.ts';
import { measureAll } from './index.ts';
import { meanPower } from './mean-power.ts';
import { peakTorque } from './peak-torque.ts';
import { rangeOfMotion } from './range-of-motion.ts';
import { loadRangeWindow, type Window } from './window.ts';
import { work } from './work.ts';

export function phaseDocument(found: FoundPhase, pattern: JointPattern | undefined): Phase {
  const { window, baseline } = found;
  const { time_s, first, end, onset } = window;
  const isIsometric = window.action === 'isometric';
  return {
    repetition: found.repetition,
    direction: directionWord(window.direction, pattern),
    effort: directionWord(window.effort, pattern),
    action: window.action,
    start_s: time_s[first],
    end_s: time_s[end - 1],
    counts: found.reasons.length === 0,
    reasons: found.reasons,
    ...measureAll(window),
    loadRange: loadRangeDocument(window),
    onset_s: onset < 0 ? null : time_s[onset],
    set: found.set,
    targetSpeed_degps: window.targetSpeed_degps,
    ...(isIsometric ? { baseline_Nm: baseline?.mean_Nm ?? null } : {}),
  };
}

/** The pattern's word for a direction of angle or torque; without a pattern rising or falling. */
export function directionWord(sign: 1 | -1, pattern: JointPattern | undefined): string {
  return sign === 1 ? (pattern?.rising ?? 'rising') : (pattern?.falling ?? 'falling');
}

function loadRangeDocument(whole: Window): LoadRange | null {
  const window = loadRangeWindow(whole);
  if (window === null) return null;
  return {
    start_s: window.time_s[window.first],
    end_s: window.time_s[window.end - 1],
    range_deg: rangeOfMotion.of(window) ?? 0,
    peakTorque_Nm: peakTorque.of(window),
    work_J: work.of(window),
    meanPower_W: meanPower.of(window),
  };
}
