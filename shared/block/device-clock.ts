/**
 * The device's clock seen from the host: its true rate, and a host time for every sample index.
 * Arrivals are late by queueing and bursts but never early, so only the earliest ones are believed.
 * It corrects nothing: samples keep the device's index, host times stand beside it.
 */

/** Host time of one sample: how the device's clock is tied to the host's. */
export interface Anchor {
  readonly index: number;
  readonly host_ns: number;
}

export interface DeviceClock {
  /** The block that ends before sample `end` arrived at `arrival_ns`. Ends must rise. */
  observe(end: number, arrival_ns: number): void;
  /** Parts per million by which the device counts faster than the host; null before 10 s. */
  readonly drift_ppm: number | null;
  /** Best known samples per host second: the nominal rate until the true one is known. */
  readonly rate_Hz: number;
  /** Host time of the last observed end; rises strictly with every observation. */
  readonly stamp: Anchor | null;
}

/** One earliest arrival is kept a second: long against any burst, short against a crystal's wander. */
const BUCKET_NS = 1e9;
/** Four minutes: a 1 ms doubt about both ends is then 4 ppm, and a warming crystal is followed. */
const MAX_BUCKETS = 240;
/** Below two seconds a burst of 16 ms would look like a rate error of 1 %: the nominal rate serves. */
const LEAST_SPAN_TO_USE_NS = 2e9;
/** A 16 ms doubt over 10 s is 0.16 %: the first moment at which a figure is worth showing. */
const LEAST_SPAN_TO_TELL_NS = 10e9;
/** Stamps approach a corrected estimate at no less than half and no more than 1.5 times real pace. */
const SLEW = 0.5;

/** Samples since the first observation, and nanoseconds of delay against the nominal rate. */
interface Arrival {
  readonly x: number;
  readonly delay_ns: number;
}

export function createDeviceClock(nominalRate_Hz: number): DeviceClock {
  const period_ns = 1e9 / nominalRate_Hz;
  const earliest: Arrival[] = [];
  let first: { readonly end: number; readonly arrival_ns: number } | null = null;
  let bucketEnd_ns = 0;
  let slope_ns = 0;
  let isTold = false;
  let stamp: Anchor | null = null;

  const lateness = (arrival: Arrival): number => arrival.delay_ns - slope_ns * arrival.x;

  function remember(arrival: Arrival, arrival_ns: number): void {
    const newest = earliest.at(-1);
    if (newest === undefined || arrival_ns >= bucketEnd_ns) {
      learnRate();
      earliest.push(arrival);
      if (earliest.length > MAX_BUCKETS) earliest.shift();
      bucketEnd_ns = arrival_ns + BUCKET_NS;
    } else if (lateness(arrival) <= lateness(newest)) {
      earliest[earliest.length - 1] = arrival;
    }
  }

  function learnRate(): void {
    const [oldest, newest] = [earliest[0], earliest.at(-1)];
    if (oldest === undefined || newest === undefined) return;
    const span_ns = (newest.x - oldest.x) * period_ns;
    if (span_ns >= LEAST_SPAN_TO_USE_NS) slope_ns = middleSlope(lowerHull(earliest));
    isTold = span_ns >= LEAST_SPAN_TO_TELL_NS;
  }

  return {
    observe(end, arrival_ns) {
      first ??= { end, arrival_ns };
      const x = end - first.end;
      remember({ x, delay_ns: arrival_ns - first.arrival_ns - x * period_ns }, arrival_ns);
      const least_ns = earliest.reduce((least, a) => Math.min(least, lateness(a)), Infinity);
      const host_ns = first.arrival_ns + x * (period_ns + slope_ns) + least_ns;
      if (stamp === null) stamp = { index: end, host_ns };
      else if (end > stamp.index) {
        const step_ns = (end - stamp.index) * period_ns;
        const wanted_ns = host_ns - stamp.host_ns;
        const slewed_ns = Math.min(Math.max(wanted_ns, step_ns * SLEW), step_ns * (1 + SLEW));
        stamp = { index: end, host_ns: stamp.host_ns + slewed_ns };
      }
    },
    get drift_ppm() {
      return isTold ? (period_ns / (period_ns + slope_ns) - 1) * 1e6 : null;
    },
    get rate_Hz() {
      return 1e9 / (period_ns + slope_ns);
    },
    get stamp() {
      return stamp;
    },
  };
}

/** Lower convex hull of points with rising x: Andrew's monotone chain (1979), from memory. */
function lowerHull(points: readonly Arrival[]): Arrival[] {
  const hull: Arrival[] = [];
  for (const point of points) {
    for (;;) {
      const [a, b] = [hull.at(-2), hull.at(-1)];
      if (a === undefined || b === undefined) break;
      const turn =
        (b.x - a.x) * (point.delay_ns - a.delay_ns) - (b.delay_ns - a.delay_ns) * (point.x - a.x);
      if (turn > 0) break;
      hull.pop();
    }
    hull.push(point);
  }
  return hull;
}

/**
 * Slope of the hull over the middle third of its width, nanoseconds a sample.
 * A clock's skew is the line under all delays (Moon, Skelly & Towsley 1999, from memory); the chord is
 * that line without hanging on one short edge, and it shuns the ends, where the hull is held one-sidedly.
 */
function middleSlope(hull: readonly Arrival[]): number {
  const [left, right] = [hull[0], hull.at(-1)];
  if (left === undefined || right === undefined || right.x <= left.x) return 0;
  const third = (right.x - left.x) / 3;
  return (heightAt(hull, right.x - third) - heightAt(hull, left.x + third)) / third;
}

function heightAt(hull: readonly Arrival[], x: number): number {
  const end = hull.findIndex((point) => point.x >= x);
  const [a, b] = [hull[Math.max(end - 1, 0)], hull[end]];
  if (a === undefined || b === undefined) return Number.NaN;
  return b.x === a.x
    ? b.delay_ns
    : a.delay_ns + ((b.delay_ns - a.delay_ns) * (x - a.x)) / (b.x - a.x);
}
