/**
 * Places raw blocks on the stream's own index, which never decreases and never overlaps.
 * Within a run of the device's clock the device's count is exact; across a restart or a reconnect
 * the hole is estimated from arrival times. It invents no samples: a hole is a jump of `index`.
 */
import type { RawBlock, StreamBlock } from './block.ts';
import { createDeviceClock, type Anchor, type DeviceClock } from './device-clock.ts';

export interface Timeline {
  /** `arrival_ns` is the host's monotonic time of the block's last byte. */
  place(block: RawBlock, arrival_ns: number): StreamBlock;
  /** The connection was opened anew: the device may have counted on, or have started again. */
  reconnect(): void;
  /** Parts per million by which the device counts faster than the host; null until it is known. */
  readonly drift_ppm: number | null;
  /** Samples per host second as measured; null until it is known. */
  readonly measuredRate_Hz: number | null;
  /** Host times along the stream, rising in both members; at least one for every run. */
  readonly anchors: readonly Anchor[];
}

/** One anchor in 10 s places any sample within a millisecond at a drift of 100 ppm. */
const ANCHOR_EVERY_NS = 10e9;
/** Eleven hours at one in 10 s; then every second one is dropped. */
const MAX_ANCHORS = 4096;
/** After a reconnect the device's count is believed when it agrees this well with the host's clock. */
const RECONNECT_TOLERANCE_S = 0.25;
const RECONNECT_TOLERANCE_RATIO = 0.02;

/** Where the stream stands after the last block. */
interface Place {
  readonly run: number;
  readonly rate_Hz: number;
  /** Stream index minus the device's index. */
  readonly offset: number;
  /** One past the last index that was given out. */
  readonly end: number;
  readonly arrival_ns: number;
}

export function createTimeline(): Timeline {
  let last: Place | null = null;
  let clock: DeviceClock | null = null;
  let isReconnected = false;
  let anchors: Anchor[] = [];
  let nextAnchor_ns = -Infinity;

  function goesOn(block: RawBlock, arrival_ns: number, from: Place): boolean {
    if (block.format.rate_Hz !== from.rate_Hz) return false;
    const hole = block.first + from.offset - from.end;
    if (hole < 0) return false;
    if (!isReconnected) return block.run === from.run;
    const hole_s = hole / from.rate_Hz;
    const silence_s = (arrival_ns - from.arrival_ns) / 1e9 - block.n / from.rate_Hz;
    const tolerance_s = RECONNECT_TOLERANCE_S + RECONNECT_TOLERANCE_RATIO * silence_s;
    return Math.abs(hole_s - silence_s) <= tolerance_s;
  }

  function indexOf(block: RawBlock, arrival_ns: number): number {
    if (last === null) return 0;
    if (goesOn(block, arrival_ns, last)) return block.first + last.offset;
    const elapsed_s = (arrival_ns - last.arrival_ns) / 1e9;
    const lost = Math.round(elapsed_s * block.format.rate_Hz) - block.n;
    clock = null;
    return last.end + Math.max(lost, elapsed_s > 0 ? 1 : 0);
  }

  function anchor(stamp: Anchor): void {
    const newest_ns = anchors.at(-1)?.host_ns ?? -Infinity;
    if (stamp.host_ns < nextAnchor_ns || stamp.host_ns <= newest_ns) return;
    anchors.push(stamp);
    nextAnchor_ns = stamp.host_ns + ANCHOR_EVERY_NS;
    if (anchors.length > MAX_ANCHORS) anchors = anchors.filter((_, k) => k % 2 === 0);
  }

  return {
    place(block, arrival_ns) {
      const index = indexOf(block, arrival_ns);
      if (clock === null) {
        clock = createDeviceClock(block.format.rate_Hz);
        nextAnchor_ns = -Infinity;
      }
      const end = index + block.n;
      clock.observe(end, arrival_ns);
      if (clock.stamp !== null) anchor(clock.stamp);
      const rate_Hz = block.format.rate_Hz;
      last = { run: block.run, rate_Hz, offset: index - block.first, end, arrival_ns };
      isReconnected = false;
      return { ...block, index, arrival_ns };
    },
    reconnect() {
      isReconnected = true;
    },
    get drift_ppm() {
      return clock?.drift_ppm ?? null;
    },
    get measuredRate_Hz() {
      return clock === null || clock.drift_ppm === null ? null : clock.rate_Hz;
    },
    get anchors() {
      return anchors;
    },
  };
}
