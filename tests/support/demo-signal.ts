/** Simulated sets for tests: calibrated columns by the simulation's own wiring, and their phases. */
import {
  createSimulation,
  type SimulatedSamples,
  type SimulationOptions,
  type Truth,
} from '../../shared/simulation/index.ts';
import type { Wiring } from '../../shared/wiring/schema.ts';

export interface DemoSignal {
  readonly rate_Hz: number;
  readonly torque_Nm: Float64Array;
  readonly angle_deg: Float64Array;
  readonly velocity_degps: Float64Array;
  readonly truth: Truth;
  /** The contract's pair for `--gravity sinusoid:A,H`. */
  readonly weight: { readonly amplitude_Nm: number; readonly horizontalAt_deg: number };
}

/** Plays a script to its end, or for some seconds. */
export function demoSignal(options: SimulationOptions, most_s = 600): DemoSignal {
  const simulation = createSimulation(options);
  const rate_Hz = simulation.format.rate_Hz;
  const pieces: SimulatedSamples[] = [];
  for (let s = 0; s < most_s && !simulation.isOver; s++) pieces.push(simulation.next(rate_Hz));
  const join = (parts: readonly Float64Array[]) => {
    const all = new Float64Array(parts.reduce((sum, part) => sum + part.length, 0));
    let at = 0;
    for (const part of parts) {
      all.set(part, at);
      at += part.length;
    }
    return all;
  };
  const channel = (c: number) =>
    calibrated(
      join(pieces.map((piece) => piece.columns[c] ?? new Float64Array())),
      simulation.wiring,
      c,
    );
  const truth = (name: keyof Truth) => join(pieces.map((piece) => piece.truth[name]));
  return {
    rate_Hz,
    torque_Nm: channel(0),
    angle_deg: channel(1),
    velocity_degps: channel(2),
    truth: {
      muscle_Nm: truth('muscle_Nm'),
      weight_Nm: truth('weight_Nm'),
      passive_Nm: truth('passive_Nm'),
      sensor_Nm: truth('sensor_Nm'),
      angle_deg: truth('angle_deg'),
      velocity_degps: truth('velocity_degps'),
      item: truth('item'),
      repetition: truth('repetition'),
      way: truth('way'),
    },
    weight: simulation.weight,
  };
}

function calibrated(raw: Float64Array, { channels }: Wiring, c: number): Float64Array {
  const { slope = 1, offset = 0, sign = 1 } = channels[c] ?? {};
  return raw.map((counts) => sign * (slope * counts + offset));
}

/** Half-open span of samples in which the limb is wished one way in one repetition. */
export interface Span {
  readonly repetition: number;
  readonly way: 1 | -1;
  readonly first: number;
  readonly end: number;
}

export function spans({ truth }: Pick<DemoSignal, 'truth'>): readonly Span[] {
  const { way, repetition } = truth;
  const found: Span[] = [];
  let first = 0;
  for (let i = 1; i <= way.length; i++) {
    if (way[i] === way[first] && repetition[i] === repetition[first]) continue;
    const itsWay = way[first];
    if (itsWay === 1 || itsWay === -1) {
      found.push({ repetition: repetition[first] ?? 0, way: itsWay, first, end: i });
    }
    first = i;
  }
  return found;
}
