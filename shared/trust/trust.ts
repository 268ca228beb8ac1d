/**
 * The trust record of a recording: what its numbers stand on, item by item, each known, worth a look, or
 * unknown. It states facts of the measurement and judges no person.
 */
import type { Phase, Signal } from '../analysis-types.ts';
import type { StartDocument, StopDocument } from '../record/documents.ts';
import type { WiredColumn } from '../wiring/wire.ts';
import { energyCheck, type EnergyCheck } from './energy.ts';
import { speedChecks, type SpeedCheck } from './speed.ts';
import { trustLines, type TrustLine } from './words.ts';

export interface TrustFacts {
  readonly recording: string;
  readonly status: StopDocument['status'] | 'open';
  /** What the wire's own check can find: `crc32` every damaged packet, `text` only unreadable lines. */
  readonly integrity: 'crc32' | 'text' | 'unknown';
  /** Null when nobody checked which way torque and angle go. */
  readonly polarity: { readonly passed: boolean; readonly at: string } | null;
  readonly delays: readonly {
    readonly column: string;
    readonly delay_ms: number;
    readonly uncertainty_ms: number;
  }[];
  /** Unloaded reading before and after, Nm; null when none was taken. */
  readonly tare: { readonly before_Nm: number | null; readonly after_Nm: number | null };
  readonly calibrations: readonly {
    readonly column: string;
    /** Null without a calibration record. */
    readonly date: string | null;
    readonly age_days: number | null;
    readonly isAccepted: boolean | null;
  }[];
  /** By the device and against the host's clock; null when too short to tell. */
  readonly rate: { readonly nominal_Hz: number | null; readonly measured_Hz: number | null };
  readonly gaps: { readonly count: number | null; readonly missing: number | null };
  /** Samples that arrived, and those of them that never reached the disk. */
  readonly durability: { readonly samples: number | null; readonly lost: number | null };
  readonly speeds: readonly SpeedCheck[];
  readonly energy: EnergyCheck | null;
  readonly weight: 'none' | 'removed' | 'unknown';
}

export interface TrustRecord extends TrustFacts {
  readonly lines: readonly TrustLine[];
}

export interface TrustInput {
  readonly recording: string;
  /** The assigned one. */
  readonly start: StartDocument | null;
  readonly stop: StopDocument | null;
  readonly integrity: TrustFacts['integrity'];
  readonly rate_Hz: number | null;
  readonly measuredRate_Hz: number | null;
  readonly columns: readonly WiredColumn[];
  readonly tares: readonly number[];
  readonly signal: Signal | null;
  readonly phases: readonly Phase[];
}

export function trustRecord(input: TrustInput): TrustRecord {
  const facts = factsOf(input);
  return { ...facts, lines: trustLines(facts) };
}

function factsOf(input: TrustInput): TrustFacts {
  const { start, stop, columns, signal, phases, tares } = input;
  const lost = stop?.lost.reduce((sum, { fromIndex, toIndex }) => sum + toIndex - fromIndex, 0);
  const [before_Nm = null] = tares;
  return {
    recording: input.recording,
    status: stop?.status ?? 'open',
    integrity: input.integrity,
    polarity: polarityOf(start),
    delays: columns.map(({ name, delay_ms, delayUncertainty_ms }) => {
      return { column: name, delay_ms, uncertainty_ms: delayUncertainty_ms };
    }),
    tare: { before_Nm, after_Nm: tares.length > 1 ? (tares.at(-1) ?? null) : null },
    calibrations: columns
      .filter(({ name }) => name === 'torque_Nm' || name === 'angle_deg')
      .map(({ name, channel }) => ({ column: name, ...calibrationOf(start, channel) })),
    rate: { nominal_Hz: input.rate_Hz, measured_Hz: input.measuredRate_Hz },
    gaps: { count: stop?.gaps ?? null, missing: stop?.missing ?? null },
    durability: { samples: stop?.samples ?? null, lost: lost ?? null },
    speeds: speedChecks(phases),
    energy: signal && energyCheck(signal, phases),
    weight: weightOf(start),
  };
}

function polarityOf(start: StartDocument | null): TrustFacts['polarity'] {
  const polarity: unknown = start && Reflect.get(start, 'polarity');
  const passed = member(polarity, 'passed');
  const at = member(polarity, 'at');
  if (typeof passed !== 'boolean') return null;
  return { passed, at: typeof at === 'string' ? at : '' };
}

/** The record in the wiring beside the channel, by its name or its number. */
function calibrationOf(start: StartDocument | null, channel: string) {
  const channels = member(start?.wiring, 'channels');
  const list: readonly unknown[] = Array.isArray(channels) ? channels : [];
  const own = list.find((one) => member(one, 'channel') === channel);
  const record = member(own, 'calibration');
  const date = member(record, 'date');
  const isAccepted = member(member(record, 'acceptance'), 'isAccepted');
  const days = (Date.parse(start?.startedAt ?? '') - Date.parse(String(date))) / 86_400_000;
  return {
    date: typeof date === 'string' ? date : null,
    age_days: Number.isFinite(days) ? Math.floor(days) : null,
    isAccepted: typeof isAccepted === 'boolean' ? isAccepted : null,
  };
}

function weightOf(start: StartDocument | null): TrustFacts['weight'] {
  const kind = member(start?.gravity, 'kind');
  if (kind === 'sinusoid' || kind === 'curve') return 'removed';
  return kind === 'none' ? 'none' : 'unknown';
}

function member(of: unknown, name: string): unknown {
  return typeof of === 'object' && of !== null ? Reflect.get(of, name) : undefined;
}
