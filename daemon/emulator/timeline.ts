/**
 * Plays the timed faults of a plan on the device and its wire: silence, closing, restart, and changes
 * of rate or channels. It knows what may be sent at a moment of the device's time.
 */
import type { Device } from './device.ts';
import type { FaultEvent } from './fault-plan.ts';
import type { Wire } from './wires/index.ts';

export interface Timeline {
  readonly counts: TimelineCounts;
  /** True when something happens at or before this time that has not been played. */
  isDue(now_s: number): boolean;
  /** Plays what is due. True when the device has to announce itself anew. */
  reach(now_s: number): Promise<boolean>;
  /** True while nothing may be sent. */
  isSilent(now_s: number): boolean;
}

export interface TimelineCounts {
  readonly silences: number;
  readonly restarts: number;
  readonly closes: number;
  readonly reconfigurations: number;
}

export function createTimeline(
  events: readonly FaultEvent[],
  device: Device,
  wire: Wire,
): Timeline {
  const counts = { silences: 0, restarts: 0, closes: 0, reconfigurations: 0 };
  const left = [...events];
  const full_Hz = device.format.rate_Hz;
  let silentUntil_s = 0;
  let shutUntil_s = Infinity;
  let isShut = false;
  const isNext = (now_s: number) => (left[0]?.at_s ?? Infinity) <= now_s;

  const play = async (event: FaultEvent): Promise<boolean> => {
    switch (event.kind) {
      case 'silence':
        counts.silences += 1;
        silentUntil_s = event.at_s + event.duration_s;
        return false;
      case 'close':
        counts.closes += 1;
        shutUntil_s = event.at_s + event.duration_s;
        isShut = true;
        await wire.shut();
        return false;
      case 'restart':
        counts.restarts += 1;
        device.restart();
        return true;
      case 'rate':
        counts.reconfigurations += 1;
        device.reconfigure({ every: full_Hz / event.rate_Hz });
        return true;
      case 'channels':
        counts.reconfigurations += 1;
        device.reconfigure({ nChannels: event.nChannels });
        return true;
    }
  };

  return {
    counts,
    isDue: (now_s) => isNext(now_s) || (isShut && now_s >= shutUntil_s),
    async reach(now_s) {
      let isNew = false;
      for (; isNext(now_s); left.shift()) {
        const [event] = left;
        if (event && (await play(event))) isNew = true;
      }
      if (isShut && now_s >= shutUntil_s) {
        isShut = false;
        await wire.open();
      }
      return isNew;
    },
    isSilent: (now_s) => isShut || now_s < silentUntil_s,
  };
}
