/** From a moving signal to phases: movements, their torque, impacts, load range and standing. */
import type { Action, Signal } from '../analysis-types.ts';
import { integral } from '../measures/integral.ts';
import { largestAt, type Window } from '../measures/window.ts';
import type { TakenPhases } from './find-phases.ts';
import { type Impact, impactsOf, withoutImpacts } from './impact.ts';
import { loadRangeOf } from './load-range.ts';
import { type MovementSearch, type Plan, planOf } from './movement-plan.ts';
import type { Movement } from './movements.ts';
import { placesOf, setRanges } from './numbering.ts';
import type { FoundPhase } from './phase.ts';
import { reasonsOf } from './standing.ts';
import type { Span } from './stretches.ts';
import { type Piece, pieceOf, TorqueRoom, type TorqueSource } from './torque.ts';

/** Phases are computed in pieces of about this many samples: small next to an hour, large next to a set. */
const PIECE_SAMPLES = 1 << 17;

/** `take` gets each phase with its columns, which are not kept: an hour of them would double the memory. */
export function movementPhases<T>(
  search: MovementSearch,
  take: (found: FoundPhase) => T,
): TakenPhases<T> {
  const { signal, motion, conditions, recipe } = search;
  const plan = planOf(search);
  const { movements, speeds } = plan;
  const places = placesOf(movements, signal.time_s, recipe.movement.setPause_s);
  const ranges = setRanges(motion, movements, speeds, conditions.setRange_deg);
  const source = torqueSource(search, movements);
  const room = new TorqueRoom();
  const phases: T[] = [];
  for (const group of groupsOf(movements)) {
    const span = { first: movements[group.first].first, end: movements[group.end - 1].end };
    const piece = pieceOf(source, span, recipe.conditioning.torqueLowpass_Hz, room);
    const located = movements
      .slice(group.first, group.end)
      .map((movement, i) => locate(search, plan, piece, movement, speeds[group.first + i]));
    const impacts = located.flatMap((one) => one.impacts);
    const clean = impacts.length > 0 ? withoutImpacts(piece, impacts, recipe) : piece;
    located.forEach((one, i) => {
      const k = group.first + i;
      const reasons = reasonsOf(search, plan, one.movement, ranges[k]);
      const found: FoundPhase = {
        window: windowOf(search, piece, clean, one, reasons.includes('gap')),
        ...places[k],
        reasons,
        impacts: one.impacts.map((impact) => ({
          ...impact,
          ...shifted(impact, -piece.offset),
          peak: impact.peak + piece.offset,
        })),
        baseline: null,
      };
      phases.push(take(found));
    });
  }
  const inferred = conditions.speed_degps === undefined ? speeds.filter((s) => s !== null) : [];
  return { phases, inferredSpeeds_degps: [...new Set(inferred)] };
}

function torqueSource(search: MovementSearch, movements: readonly Movement[]): TorqueSource {
  const { signal, motion, conditions, recipe } = search;
  const signAt = conditions.torque === 'unsigned' ? signsOf(movements) : null;
  return { signal: knownTorque(signal), motion, clock: motion, conditions, recipe, signAt };
}

/** A torque that never changes at all was not measured: missing, not 0. */
function knownTorque(signal: Signal): Signal {
  const { torque_Nm } = signal;
  const isConstant = torque_Nm.every((torque) => torque === torque_Nm[0] || torque !== torque);
  return isConstant ? { ...signal, torque_Nm: torque_Nm.map(() => Number.NaN) } : signal;
}

/** Sign of the movement at a sample; between two movements the border is in the middle. */
function signsOf(movements: readonly Movement[]): (sample: number) => 1 | -1 {
  const borders = movements
    .slice(1)
    .map(({ first }, k) => Math.floor((first + movements[k].end) / 2));
  let k = 0;
  return (sample) => {
    while (k > 0 && sample < borders[k - 1]) k -= 1;
    while (k < borders.length && sample >= borders[k]) k += 1;
    return movements[k]?.sign ?? 1;
  };
}

function groupsOf(movements: readonly Movement[]): Span[] {
  const groups: Span[] = [];
  let first = 0;
  for (let k = 1; k <= movements.length; k += 1) {
    const isFull =
      k === movements.length || movements[k].end - movements[first].first > PIECE_SAMPLES;
    if (!isFull) continue;
    groups.push({ first, end: k });
    first = k;
  }
  return groups;
}

/** A movement in the samples of its piece. */
interface Located {
  readonly phase: Span;
  readonly movement: Movement;
  readonly action: Action;
  readonly effort: 1 | -1;
  readonly target_degps: number | null;
  readonly loadRange: Span | null;
  readonly impacts: readonly Impact[];
}

function locate(
  { motion, mode, recipe }: MovementSearch,
  { noise_degps }: Plan,
  piece: Piece,
  movement: Movement,
  target_degps: number | null,
): Located {
  const phase = shifted(movement, piece.offset);
  const constant =
    target_degps === null ? null : loadRangeOf(motion, movement, target_degps, noise_degps, recipe);
  const isEccentric =
    mode !== 'passive' &&
    piece.angle_deg !== null &&
    integral(piece.torque_Nm, piece.angle_deg, phase) < 0;
  const effort = isEccentric ? turned(movement.sign) : movement.sign;
  const action = mode === 'passive' ? 'passive' : isEccentric ? 'eccentric' : 'concentric';
  const run = constant && shifted(constant.run, piece.offset);
  const impacts =
    mode === 'passive' ? [] : impactsOf({ piece, phase, constant: run, effort, recipe });
  const loadRange = constant && shifted(constant.span, piece.offset);
  return { phase, movement, action, effort, target_degps, loadRange, impacts };
}

function shifted({ first, end }: Span, offset: number): Span {
  return { first: first - offset, end: end - offset };
}

function turned(sign: 1 | -1): 1 | -1 {
  return sign === 1 ? -1 : 1;
}

/** Columns around the phase only, turned into the effort's direction. */
function windowOf(
  { conditions, recipe }: MovementSearch,
  piece: Piece,
  clean: Piece,
  { phase, movement, action, effort, target_degps, loadRange }: Located,
  hasLongHole: boolean,
): Window {
  const inEffort = (torque: Float64Array) => (effort === 1 ? torque : turnedOver(torque));
  const cut = (column: Float64Array) => column.subarray(phase.first, phase.end);
  const torque_Nm = inEffort(cut(piece.torque_Nm));
  const span = { first: 0, end: phase.end - phase.first };
  const peakable_Nm = clean === piece ? torque_Nm : inEffort(cut(clean.torque_Nm));
  return {
    ...span,
    rate_Hz: piece.rate_Hz,
    time_s: cut(piece.time_s),
    torque_Nm,
    peakable_Nm,
    unfiltered_Nm: cut(piece.unfiltered_Nm),
    fine_Nm: null,
    angle_deg: piece.angle_deg && cut(piece.angle_deg),
    velocity_degps: piece.velocity_degps && cut(piece.velocity_degps),
    action,
    effort,
    direction: movement.sign,
    peak: largestAt(peakable_Nm, span),
    onset: -1,
    targetSpeed_degps: target_degps,
    loadRange: loadRange && shifted(loadRange, phase.first),
    hasLongHole,
    bodyMass_kg: conditions.bodyMass_kg ?? null,
    recipe,
  };
}

function turnedOver(column: Float64Array): Float64Array {
  const out = new Float64Array(column.length);
  for (let i = 0; i < out.length; i += 1) out[i] = -column[i];
  return out;
}
