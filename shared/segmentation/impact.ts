/**
 * Impacts: torque spikes where the lever is caught at speed or runs into a stop. They are not muscle
 * torque: found as what stands out briefly from its lower envelope, and taken out of the curve of peaks.
 */
import { movingMean, opened } from './envelope.ts';
import type { Recipe } from '../recipe/recipe.ts';
import type { Span } from './stretches.ts';
import { type Piece, smoothAgain } from './torque.ts';

export interface Impact extends Span {
  readonly at: 'start' | 'end';
  /** Sample of the piece where it is largest. */
  readonly peak: number;
}

/** An impact takes at most this share of the phase, so that a short phase is not called one itself. */
const MOST_OF_PHASE = 0.2;
/** Noise shorter than this would lower the envelope: averaged before it is drawn. */
const CALMING_S = 0.008;
/** It begins and ends where this share of its height is left. */
const FOOT = 0.1;
/** How far beyond the phase's end its stop may ring, in widths. */
const BEYOND = 1;

export interface ImpactSearch {
  readonly piece: Piece;
  readonly phase: Span;
  /** The run at constant velocity, where there is one. */
  readonly constant: Span | null;
  readonly effort: 1 | -1;
  readonly recipe: Recipe;
}

/** All impacts at the beginning and end of a phase, in order. */
export function impactsOf(search: ImpactSearch): Impact[] {
  const { piece, phase, recipe } = search;
  const n = phase.end - phase.first;
  const width = Math.floor(
    Math.min((recipe.impact.width_ms / 1000) * piece.rate_Hz, MOST_OF_PHASE * n),
  );
  if (width < 1) return [];
  const { start, end } = zonesOf(search, width);
  const least_Nm = Math.max(
    recipe.impact.least_Nm,
    (recipe.impact.share_pct / 100) * peakBetween(search, start.end, end.first),
  );
  return [
    ...impactsIn(search, start, 'start', width, least_Nm),
    ...impactsIn(search, end, 'end', width, least_Nm),
  ];
}

/** The piece with every impact replaced by the line between its feet, smoothed anew. */
export function withoutImpacts(piece: Piece, impacts: readonly Impact[], recipe: Recipe): Piece {
  const unfiltered_Nm = piece.unfiltered_Nm.slice();
  for (const { first, end } of impacts) {
    const before = unfiltered_Nm[Math.max(0, first - 1)];
    const after = unfiltered_Nm[Math.min(end, unfiltered_Nm.length - 1)];
    for (let i = first; i < end; i += 1) {
      unfiltered_Nm[i] = before + ((after - before) * (i - first + 1)) / (end - first + 1);
    }
  }
  return smoothAgain(piece, unfiltered_Nm, recipe);
}

function zonesOf({ piece, phase, constant, recipe }: ImpactSearch, width: number) {
  const n = phase.end - phase.first;
  const into = Math.round((recipe.impact.zone_ms / 1000) * piece.rate_Hz);
  const startEnd = constant ? constant.first + into : phase.first + Math.round(n / 4);
  const endFirst = constant ? constant.end - width : phase.end - Math.round(n / 4);
  const last = piece.time_s.length;
  return {
    start: { first: Math.max(0, phase.first - width), end: Math.min(startEnd, phase.end) },
    end: {
      first: Math.max(endFirst, Math.min(startEnd, phase.end)),
      end: Math.min(phase.end + BEYOND * width, last),
    },
  };
}

/** Largest smoothed torque between the zones; of the whole phase where nothing lies between. */
function peakBetween({ piece, phase, effort }: ImpactSearch, from: number, to: number): number {
  const [first, end] = to > from ? [from, to] : [phase.first, phase.end];
  let peak = 0;
  for (let i = first; i < end; i += 1) peak = Math.max(peak, effort * piece.torque_Nm[i] || 0);
  return peak;
}

function impactsIn(
  { piece, effort, recipe }: ImpactSearch,
  zone: Span,
  at: Impact['at'],
  width: number,
  least_Nm: number,
): Impact[] {
  const { unfiltered_Nm, torque_Nm } = piece;
  if (zone.end - zone.first < 2) return [];
  const isSmoothed = recipe.conditioning.torqueLowpass_Hz !== null;
  if (isSmoothed && !standsOut(unfiltered_Nm, torque_Nm, zone, least_Nm / 2)) return [];
  const first = Math.max(0, zone.first - width);
  const end = Math.min(unfiltered_Nm.length, zone.end + width);
  const inEffort = unfiltered_Nm.subarray(first, end).map((torque) => effort * torque);
  const near = movingMean(inEffort, Math.round(CALMING_S * piece.rate_Hz));
  const calm = opened(near, width);
  const height = near.map((torque, i) => torque - calm[i]);
  const impacts: Impact[] = [];
  for (let i = zone.first - first; i < zone.end - first; i += 1) {
    if (!(height[i] >= least_Nm)) continue;
    const found = around(height, i, width);
    impacts.push({
      at,
      first: found.first + first,
      end: found.end + first,
      peak: found.peak + first,
    });
    i = found.end;
  }
  return impacts;
}

function standsOut(raw: Float64Array, smooth: Float64Array, zone: Span, least: number): boolean {
  for (let i = zone.first; i < zone.end; i += 1) {
    if (Math.abs(raw[i] - smooth[i]) >= least) return true;
  }
  return false;
}

/** The impact that begins to stand out at `i`: its largest sample within a width, down to its feet. */
function around(height: Float64Array, i: number, width: number): Span & { peak: number } {
  let peak = i;
  for (let k = i; k < Math.min(height.length, i + width); k += 1) {
    if (height[k] > height[peak]) peak = k;
  }
  const foot = FOOT * height[peak];
  let first = peak;
  let end = peak + 1;
  while (first > 0 && peak - first < width && height[first - 1] > foot) first -= 1;
  while (end < height.length && end - peak < width && height[end] > foot) end += 1;
  return { first, end, peak };
}
