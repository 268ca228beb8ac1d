/**
 * A flag: something a person should look at, with its time, value and limit. The kinds are a closed
 * list that other programs rely on; a new one is a change for users.
 */

export const FLAG_KINDS = [
  'rangeBeyond',
  'rangeNear',
  'overload',
  'saturated',
  'stuck',
  'spike',
  'stopImpact',
  'gap',
  'duplicate',
  'timeReversed',
  'rateOff',
  'speedNotReached',
  'loadRangeShort',
  'inconsistent',
  'baselineDrift',
  'weighingImplausible',
  'signMismatch',
  'torqueUnsigned',
] as const;

export type FlagKind = (typeof FLAG_KINDS)[number];
export type Priority = 'high' | 'medium' | 'low';

export interface Flag {
  readonly kind: FlagKind;
  readonly priority: Priority;
  readonly start_s: number;
  /** Equal to `start_s` while it is still going on. */
  readonly end_s: number;
  /** What was seen, and what it was compared with, in `unit`; null where there is no such number. */
  readonly value: number | null;
  readonly limit: number | null;
  readonly unit: string;
  /** One sentence a tired person understands. */
  readonly message: string;
}

/**
 * What makes two flags one: the second is the first, over or worse, and replaces it. The unit tells
 * channels apart that begin together, such as torque and angle of a pulled plug.
 */
export function flagKey({ kind, start_s, unit }: Flag): string {
  return `${kind} ${String(start_s)} ${unit}`;
}
