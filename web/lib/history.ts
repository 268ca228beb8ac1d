/**
 * The part of a running recording from before this page was opened, so that a reload loses nothing:
 * where the recording began in the stream, and its samples as blocks for the ring.
 */
import type { LiveBlock } from '../../shared/wire/block-codec.ts';
import { ask } from './api.ts';
import type { Gravity } from '../../shared/gravity/gravity.ts';
import { weightAt } from '../../shared/gravity/remove.ts';
import { fetchOverview, slope } from './record-curves.ts';
import { readOpened, readSamples } from './recordings.ts';
import { MUSCLE_TORQUE, type Ring } from './ring.ts';

/** The API's own limit a request; longer pasts come as least and largest. */
const MOST_SAMPLES = 60_000;
/** Stretches of a longer past: more than the pixels of any sheet. */
const STRETCHES = 4000;
/** Seconds over which a velocity that was not recorded is taken from the angle. */
const VELOCITY_OVER_S = 0.02;

/** Index of a running recording's first sample; null when the daemon cannot tell. */
export async function firstOfRecording(id: string): Promise<number | null> {
  const answer = await ask(`/api/recordings/${encodeURIComponent(id)}`, readOpened);
  if (!answer.isGood) return null;
  const { events, rate_Hz } = answer.value;
  const [event] = events;
  return event ? Math.round(event.at - event.at_s * rate_Hz) : null;
}

/** Samples from `first` up to the oldest one of the ring; null when there are none to be had yet. */
export async function fetchHistory(
  id: string,
  ring: Ring,
  first: number,
  /** What is removed from the torque while it is recorded. */
  gravity: Gravity,
): Promise<LiveBlock | null> {
  const n = ring.begin - first;
  const past: Past = { id, ring, first, end: ring.begin, gravity };
  return n <= MOST_SAMPLES ? whole(past) : thinned(past);
}

interface Past {
  readonly id: string;
  readonly ring: Ring;
  readonly gravity: Gravity;
  readonly first: number;
  readonly end: number;
}

async function whole({ id, ring, first, end, gravity }: Past): Promise<LiveBlock | null> {
  const { rate_Hz } = ring;
  const query = `from=0&to=${((end - first) / rate_Hz).toFixed(6)}`;
  const path = `/api/recordings/${encodeURIComponent(id)}/samples?${query}`;
  const answer = await ask(path, readSamples);
  if (!answer.isGood) return null;
  const { columns } = answer.value;
  const n = Object.values(columns)[0]?.length ?? 0;
  return n === 0
    ? null
    : asBlock(
        ring,
        first,
        1,
        n,
        withMuscle(gravity, (name) => columns[name] ?? null),
      );
}

/** Each stretch as two values, the least and the largest, as the hub thins too. */
async function thinned({ id, ring, first, end, gravity }: Past): Promise<LiveBlock | null> {
  const { rate_Hz } = ring;
  const step = Math.ceil((end - first) / (2 * STRETCHES));
  const span = { from_s: 0, to_s: (end - first) / rate_Hz };
  const found: Record<string, Float32Array> = {};
  for (const name of ['torque_Nm', 'angle_deg']) {
    const overview = await fetchOverview(id, name, span, STRETCHES);
    if (!overview) continue;
    found[name] = Float32Array.from({ length: 2 * overview.min.length }, (_, i) => {
      const side = i % 2 === 0 ? overview.min : overview.max;
      return side[i >> 1] ?? Number.NaN;
    });
  }
  const n = Math.floor((end - first) / step);
  return Object.keys(found).length === 0
    ? null
    : asBlock(
        ring,
        first,
        step,
        n,
        withMuscle(gravity, (name) => found[name] ?? null),
      );
}

type ColumnOf = (name: string) => Float32Array | null;

/** The samples are kept as they were read: the muscles' torque is what is left without the weight. */
function withMuscle(gravity: Gravity, columnOf: ColumnOf): ColumnOf {
  return (name) => {
    if (name !== MUSCLE_TORQUE) return columnOf(name);
    const torque = columnOf('torque_Nm');
    const angle = columnOf('angle_deg');
    if (!torque || !angle) return null;
    return torque.map((value, i) => value - weightAt(gravity, angle[i] ?? Number.NaN));
  };
}

function asBlock(
  ring: Ring,
  index: number,
  step: number,
  n: number,
  columnOf: ColumnOf,
): LiveBlock {
  const { rate_Hz } = ring;
  const columns = ring.names.map((name) => {
    const known = columnOf(name);
    const angle = columnOf('angle_deg');
    if (known || name !== 'velocity_degps' || !angle) return known ?? nothing(n);
    const x_s = Float64Array.from(angle, (_, i) => (i * step) / rate_Hz);
    return slope(x_s, angle, Math.max(2, Math.round((VELOCITY_OVER_S * rate_Hz) / step)));
  });
  return { index, n, step, rate_Hz, arrival_ms: 0, afterGap: false, columns };
}

function nothing(n: number): Float32Array {
  return new Float32Array(n).fill(Number.NaN);
}
