/**
 * Watches the disk under a recording and puts its trouble into words: at once when it begins, again
 * while it lasts, silent when it is over. It changes nothing.
 */
import type { Fault, FaultCode } from '../../shared/faults.ts';
import { freeBytes, type DiskTrouble } from '../store/disk-trouble.ts';
import type { RecorderClock } from './recorder.ts';
import type { RecorderDisk } from './recorder-disk.ts';

const LOOK_EVERY_MS = 500;
/** Confirmation comes every quarter of a second; eight times as long is a disk that cannot follow. */
const SLOW_AFTER_MS = 2000;
/** Other programs fill disks too, so the room is asked for again and again. */
const ROOM_EVERY_MS = 10_000;
const REPEAT_EVERY_MS = 10_000;
const WARN_BELOW_S = 2 * 3600;
export const REFUSE_BELOW_S = 600;

export interface RecorderWatch {
  failed(trouble: DiskTrouble): void;
  works(): void;
  end(): void;
  /** In words; empty when nothing is wrong. */
  readonly trouble: string;
}

export interface RecorderWatchOptions {
  readonly folder: string;
  readonly clock: RecorderClock;
  readonly disk: RecorderDisk;
  readonly nextIndex: () => number;
  /** Bytes a second that the stream takes; null while unknown. */
  readonly rate_Bps: () => number | null;
  readonly onFault: (fault: Fault) => void;
}

interface Lasting {
  words: string;
  reported_ns: number;
  count: number;
}

export function createRecorderWatch(options: RecorderWatchOptions): RecorderWatch {
  const { folder, clock, disk, nextIndex, rate_Bps, onFault } = options;
  const lasting = new Map<FaultCode, Lasting>();
  let room_ns = -Infinity;

  function raise(code: FaultCode, words: string): void {
    const now_ns = clock.monotonic_ns();
    const known = lasting.get(code);
    if (known !== undefined && now_ns - known.reported_ns < REPEAT_EVERY_MS * 1e6) {
      known.count += 1;
      known.words = words;
      return;
    }
    lasting.set(code, { words, reported_ns: now_ns, count: 0 });
    onFault({ code, at: nextIndex(), detail: words, count: 1 + (known?.count ?? 0) });
  }

  function lookAtDelay(): void {
    const since_ns = disk.waitingSince_ns;
    const waited_ms = since_ns === null ? 0 : (clock.monotonic_ns() - since_ns) / 1e6;
    if (waited_ms > SLOW_AFTER_MS) {
      raise('diskSlow', `${(waited_ms / 1000).toFixed(1)} s of samples are not on the disk yet`);
    } else lasting.delete('diskSlow');
  }

  async function lookAtRoom(): Promise<void> {
    const rate = rate_Bps();
    if (rate === null) return;
    room_ns = clock.monotonic_ns();
    const room_s = (await freeBytes(folder)) / rate;
    if (room_s < WARN_BELOW_S) raise('diskNearlyFull', `room for ${inWords(room_s)} more`);
    else lasting.delete('diskNearlyFull');
  }

  const timer = setInterval(() => {
    lookAtDelay();
    if (clock.monotonic_ns() - room_ns >= ROOM_EVERY_MS * 1e6) void lookAtRoom();
  }, LOOK_EVERY_MS);

  return {
    failed: ({ code, words }) => raise(code, words),
    works() {
      lasting.delete('diskFull');
      lasting.delete('diskWriteFailed');
    },
    end: () => clearInterval(timer),
    get trouble() {
      return [...lasting.values()].map(({ words }) => words).join('; ');
    },
  };
}

function inWords(room_s: number): string {
  const minutes = Math.floor(room_s / 60);
  return minutes < 60 ? `${minutes} min` : `${Math.floor(minutes / 60)} h ${minutes % 60} min`;
}
