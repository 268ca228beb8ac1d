/**
 * Curves of a kept recording for a stretch of time: samples where they fit on the screen, else least
 * and largest a pixel. Velocity that was not recorded is the change of the angle, for looking only.
 */
import { ask } from './api.ts';
import type { Curves } from './plot.ts';
import { type Opened, type Overview, readOverview, readSamples } from './recordings.ts';
import type { ViewSpan } from './view-span.ts';

/** Below so many samples a pixel the samples themselves are asked for. */
const SAMPLES_A_PIXEL = 4;
/** The API's own limit a request. */
const MOST_SAMPLES = 60_000;
/** Time over which a velocity is taken from the angle: shorter only shows the converter's steps. */
const VELOCITY_OVER_S = 0.02;

export interface RecordCurves extends Curves {
  readonly from_s: number;
  readonly to_s: number;
}

/** Null when it was given up or could not be read. */
export async function fetchCurves(
  opened: Opened,
  span: ViewSpan,
  width: number,
  signal: AbortSignal,
): Promise<RecordCurves | null> {
  const n = (span.to_s - span.from_s) * opened.rate_Hz;
  const isFew = n <= width * SAMPLES_A_PIXEL && n <= MOST_SAMPLES;
  return isFew ? fromSamples(opened, span, signal) : fromOverview(opened, span, width, signal);
}

export async function fetchOverview(
  id: string,
  column: string,
  span: ViewSpan | null,
  points: number,
  signal?: AbortSignal,
): Promise<Overview | null> {
  const query = new URLSearchParams({ column, points: String(Math.max(1, Math.round(points))) });
  if (span) {
    query.set('from', span.from_s.toFixed(6));
    query.set('to', span.to_s.toFixed(6));
  }
  const path = `/api/recordings/${encodeURIComponent(id)}/overview?${query.toString()}`;
  const answer = await ask(path, readOverview, signal ? { signal } : {});
  return answer.isGood ? answer.value : null;
}

async function fromSamples(
  opened: Opened,
  span: ViewSpan,
  signal: AbortSignal,
): Promise<RecordCurves | null> {
  const query = `from=${span.from_s.toFixed(6)}&to=${span.to_s.toFixed(6)}`;
  const path = `/api/recordings/${encodeURIComponent(opened.id)}/samples?${query}`;
  const answer = await ask(path, readSamples, { signal });
  if (!answer.isGood) return null;
  const { from_s, rate_Hz, columns } = answer.value;
  const n = Object.values(columns)[0]?.length ?? 0;
  const x_s = Float64Array.from({ length: n }, (_, i) => from_s + i / rate_Hz);
  const nothing = new Float32Array(n).fill(Number.NaN);
  const angle = columns['angle_deg'] ?? nothing;
  return {
    from_s,
    to_s: from_s + n / rate_Hz,
    x_s,
    torque: columns['torque_Nm'] ?? nothing,
    angle,
    velocity: columns['velocity_degps'] ?? slope(x_s, angle, Math.round(VELOCITY_OVER_S * rate_Hz)),
  };
}

async function fromOverview(
  opened: Opened,
  span: ViewSpan,
  width: number,
  signal: AbortSignal,
): Promise<RecordCurves | null> {
  const has = (name: string) => opened.columns.includes(name);
  const get = (name: string) =>
    has(name) ? fetchOverview(opened.id, name, span, width, signal) : Promise.resolve(null);
  const [torque, angle, velocity] = await Promise.all([
    get('torque_Nm'),
    get('angle_deg'),
    get('velocity_degps'),
  ]);
  const lead = torque ?? angle;
  if (!lead) return null;
  const n = lead.min.length;
  const step = (lead.to_s - lead.from_s) / n;
  const x_s = Float64Array.from({ length: 2 * n }, (_, i) => lead.from_s + ((i >> 1) + 0.5) * step);
  const middle = angle ? angle.min.map((low, k) => (low + (angle.max[k] ?? low)) / 2) : null;
  const over = Math.max(1, Math.round(VELOCITY_OVER_S / step));
  const centres = x_s.filter((_, i) => i % 2 === 0);
  const nothing = new Float32Array(2 * n).fill(Number.NaN);
  return {
    from_s: lead.from_s,
    to_s: lead.to_s,
    x_s,
    torque: torque ? pairs(torque.min, torque.max) : nothing,
    angle: angle ? pairs(angle.min, angle.max) : nothing,
    velocity: velocity
      ? pairs(velocity.min, velocity.max)
      : middle
        ? twice(slope(centres, middle, over))
        : nothing,
  };
}

/** Least and largest in turn, so that a line through them fills each pixel's span. */
function pairs(min: Float32Array, max: Float32Array): Float32Array {
  return Float32Array.from({ length: 2 * min.length }, (_, i) => {
    const k = i >> 1;
    const isMinFirst = k % 2 === 0;
    return ((i % 2 === 0) === isMinFirst ? min[k] : max[k]) ?? Number.NaN;
  });
}

function twice(values: Float32Array): Float32Array {
  return Float32Array.from({ length: 2 * values.length }, (_, i) => values[i >> 1] ?? Number.NaN);
}

/** Central change over `over` points either side together; NaN beside a missing value. */
export function slope(x_s: Float64Array, y: Float32Array, over: number): Float32Array {
  const half = Math.max(1, Math.floor(over / 2));
  return Float32Array.from(y, (_, i) => {
    const before = Math.max(0, i - half);
    const after = Math.min(y.length - 1, i + half);
    const dx = (x_s[after] ?? 0) - (x_s[before] ?? 0);
    return dx > 0 ? ((y[after] ?? Number.NaN) - (y[before] ?? Number.NaN)) / dx : Number.NaN;
  });
}
