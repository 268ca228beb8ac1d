/**
 * A recording as the signal that is analysed: calibrated columns over time since its first sample.
 * Holes are rows of NaN; where one is long, or the rate changes, time itself jumps instead.
 */
import type { Signal } from '../../shared/analysis-types.ts';
import type { QuantityName } from '../../shared/block/block.ts';
import { isSameFormat } from '../../shared/record/packer.ts';
import { calibrateWhole } from '../../shared/stages/calibrate.ts';
import { wiredAs } from './columns.ts';
import { readSamples } from './read-blocks.ts';
import { recordingClock } from './recording-clock.ts';
import type { Recording } from './recording.ts';
import type { StreamFile } from './stream-file.ts';
import { Stretch } from './stretch.ts';

/** A device that was away for a night must not fill the memory with rows of nothing. */
const LONGEST_NAN_S = 10;

export type SignalReading = { readonly signal: Signal } | { readonly problem: string };

/** `problem` says why there is no torque to analyse. */
export function readSignal(recording: Recording): SignalReading {
  const pieces: Piece[] = [];
  const clock = recordingClock(recording);
  for (const stretch of readStretches(recording.files)) {
    const wired = wiredAs(recording.start, stretch.format);
    if ('problems' in wired) return { problem: wired.problems.join('; ') };
    const columns = calibrateWhole(wired.plan, stretch.columns);
    pieces.push({ time_s: stretch.time_s(clock), rate_Hz: stretch.format.rate_Hz, columns });
  }
  const [first] = pieces;
  if (first === undefined) return { problem: 'it holds no samples' };
  const torque_Nm = column(pieces, 'torque_Nm');
  if (torque_Nm === null) {
    return { problem: 'no channel of it is torque: name one in the wiring file' };
  }
  return {
    signal: {
      rate_Hz: first.rate_Hz,
      time_s: joined(pieces.map(({ time_s }) => time_s)),
      torque_Nm,
      angle_deg: column(pieces, 'angle_deg'),
      velocity_degps: column(pieces, 'velocity_degps'),
      flags: [],
    },
  };
}

interface Piece {
  readonly time_s: Float64Array;
  readonly rate_Hz: number;
  readonly columns: ReadonlyMap<QuantityName, Float64Array>;
}

function readStretches(files: readonly StreamFile[]): Stretch[] {
  const stretches: Stretch[] = [];
  for (const block of readSamples(files)) {
    const last = stretches.at(-1);
    const hole_s = last === undefined ? 0 : (block.index - last.endIndex) / last.format.rate_Hz;
    const goesOn = last !== undefined && isSameFormat(block.format, last.format);
    if (goesOn && hole_s <= LONGEST_NAN_S) last.add(block);
    else stretches.push(new Stretch(block));
  }
  return stretches;
}

/** Null when no piece has it; NaN in the pieces that have it not. */
function column(pieces: readonly Piece[], name: QuantityName): Float64Array | null {
  if (!pieces.some(({ columns }) => columns.has(name))) return null;
  return joined(
    pieces.map(
      ({ columns, time_s }) => columns.get(name) ?? new Float64Array(time_s.length).fill(NaN),
    ),
  );
}

function joined(parts: readonly Float64Array[]): Float64Array {
  const [only] = parts;
  if (only !== undefined && parts.length === 1) return only;
  const all = new Float64Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    all.set(part, at);
    at += part.length;
  }
  return all;
}
