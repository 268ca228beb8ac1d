/**
 * What `/live` says in JSON beside the binary sample blocks: the whole state of the station, and events.
 * The daemon is the truth; a page that joins late gets the same state as one that was there.
 */
import type { Mode, Phase, Side } from '../analysis-types.ts';
import type { Fault } from '../faults.ts';
import type { Flag } from '../flags/flag.ts';
import type { PreparationState } from '../preparation/state.ts';
import type { RunView } from '../session/run-view.ts';

export type SourceState = 'connecting' | 'live' | 'stale' | 'lost';

export interface SourceStatus {
  readonly state: SourceState;
  /** As typed, without secrets. */
  readonly url: string;
  /** `simulated` for demo:, `replay` for replay:, else `device`. */
  readonly kind: 'device' | 'simulated' | 'replay';
  /** Samples a second of the last live span; null before the first sample. */
  readonly rate_Hz: number | null;
  readonly samples: number;
  readonly gaps: number;
  readonly lostSamples: number;
  readonly damaged: number;
  /** Milliseconds since the newest sample arrived, as the state was sent; null before the first. */
  readonly silence_ms: number | null;
  /** Wall clock of the newest sample's arrival, ISO 8601 UTC; null before the first. */
  readonly lastSampleAt: string | null;
  /** Attempts to connect since it was last connected. */
  readonly tries: number;
  /** Why it is not live, in words; empty when it is. */
  readonly detail: string;
  /** `lines`, `packets`, or empty while still unknown. */
  readonly format: string;
  readonly integrity: 'crc32' | 'text' | '';
  /** The device's clock against the host's, parts per million; null until it is known. */
  readonly drift_ppm: number | null;
  /** Samples at the ends of the converter in the last second. */
  readonly clipped: number;
}

export interface RecordingStatus {
  readonly id: string;
  readonly name: string;
  readonly startedAt: string;
  readonly samples: number;
  /** Samples that are on the disk for certain. */
  readonly durableSamples: number;
  readonly trouble: string;
}

/** A channel as the pages see it after wiring. */
export interface LiveColumn {
  /** Column name in the binary blocks, e.g. `torque_Nm`. */
  readonly name: string;
  readonly unit: string;
  /** The device's channel it comes from; empty for a computed one. */
  readonly channel: string;
}

/** What is being tested. Goes into the recording's start document. */
export interface Setup {
  readonly subject: string;
  readonly pattern: string;
  readonly side: Side;
  readonly mode: Mode;
  readonly speed_degps: number;
  readonly repetitions: number;
  /** Limits of the range of motion [least, most], degrees. They warn; they stop nothing. */
  readonly rangeLimits_deg: readonly [number, number];
  readonly torqueLimit_Nm: number;
  /** Scale of the torque panel [least, most], fixed for the set. */
  readonly torqueScale_Nm: readonly [number, number];
  /** Length of the sheet of chart paper in seconds. */
  readonly sheet_s: number;
}

/** A repetition in the ledger: live numbers are provisional until the set ends. */
export interface Ledger {
  readonly recording: string;
  readonly finality: 'provisional' | 'settled';
  readonly phases: readonly Phase[];
}

export interface StationState {
  readonly station: string;
  readonly version: string;
  /** Wall clock as sent, ISO 8601 UTC. */
  readonly now: string;
  readonly source: SourceStatus;
  readonly columns: readonly LiveColumn[];
  readonly recording: RecordingStatus | null;
  readonly setup: Setup;
  readonly preparation: PreparationState;
  readonly run: RunView;
  /** Newest first, bounded. */
  readonly faults: readonly (Fault & { readonly time: string })[];
  readonly flags: readonly (Flag & { readonly id: number; readonly acknowledged: boolean })[];
}

export type LiveEvent =
  | { readonly type: 'state'; readonly state: StationState }
  | { readonly type: 'ledger'; readonly ledger: Ledger }
  /** This client could not follow: blocks were left out between the two indices. */
  | { readonly type: 'thinned'; readonly from: number; readonly to: number };

/** All that a subject's screen may know. Level is 0 at rest and 1 at the top of the fixed scale. */
export type LaneEvent =
  | {
      readonly type: 'lane';
      readonly form: 'climb' | 'corridor' | 'blank';
      readonly phase: 'ready' | 'countdown' | 'effort' | 'rest' | 'done' | 'wait';
      readonly word: 'READY' | 'PUSH' | 'PULL' | 'FOLLOW' | 'REST' | 'DONE' | '';
      /** Whole seconds of a countdown or a rest; null otherwise. */
      readonly seconds: number | null;
      /** Share of the countdown or rest that is over, 0 to 1. */
      readonly passed: number;
      /** Repetition dots: how many are done, and how many there are. */
      readonly done: number;
      readonly of: number;
      /** Where the limb is, 0 at the falling end of the range, 1 at the rising end; for the pictogram. */
      readonly limb: number;
      /** Direction to go: 1 toward rising, -1 toward falling, 0 none. */
      readonly way: -1 | 0 | 1;
      /** Their own best as a level, where the tester switched it on. */
      readonly best: number | null;
      /** What to aim at as a level, with half its band; `period_s` 0 holds still. */
      readonly target: {
        readonly level: number;
        readonly half: number;
        readonly swing: number;
        readonly period_s: number;
        /** Seconds since it began, as sent. */
        readonly at_s: number;
      } | null;
      readonly isMirrored: boolean;
      /** Sizes in shares of the picture's width: least font size, and one degree at the eye. */
      readonly font: number;
      readonly degree: number;
    }
  | { readonly type: 'level'; readonly level: number | null };
