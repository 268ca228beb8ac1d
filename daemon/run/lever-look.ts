/** Looks, in the first repetition of a set, whether the lever does what the set states; says what differs. */
import { type Mismatch, mismatchOf, shownBy } from '../../shared/session/recognise.ts';
import type { Setup } from '../../shared/wire/events.ts';
import type { RecordingDesk } from '../station-recording.ts';
import { now_ms } from './driver.ts';

/** Often enough for the first repetition, seldom enough for the analysis thread. */
const LOOK_EVERY_ms = 1_000;

export interface LeverLook {
  readonly mismatch: Mismatch | null;
  /** Asks the analysis, unless it was asked just now or has answered. */
  look(): void;
  /** Another set begins. */
  forget(): void;
  /** A person took on what it showed. */
  settle(): void;
}

export function createLeverLook({
  setup,
  recorder,
  note,
  changed,
}: {
  readonly setup: () => Setup;
  readonly recorder: Pick<RecordingDesk, 'blind'>;
  readonly note: (kind: string, detail: Readonly<Record<string, unknown>>) => void;
  readonly changed: () => void;
}): LeverLook {
  let mismatch: Mismatch | null = null;
  let isKnown = false;
  let looked_ms = -Infinity;
  /** Goes up with every set: an answer about the one before is of no use. */
  let edition = 0;

  const ask = async (asked: number): Promise<void> => {
    const found = await recorder.blind();
    const shown = found && shownBy(found.document, found.signal);
    if (!shown || asked !== edition) return;
    isKnown = true;
    mismatch = mismatchOf(shown, setup());
    if (mismatch) note('mismatch', { ...mismatch });
    changed();
  };

  return {
    get mismatch() {
      return mismatch;
    },
    look() {
      if (isKnown || now_ms() - looked_ms < LOOK_EVERY_ms) return;
      looked_ms = now_ms();
      void ask(edition);
    },
    forget() {
      edition += 1;
      isKnown = false;
      mismatch = null;
    },
    settle() {
      mismatch = null;
    },
  };
}
