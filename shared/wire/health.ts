/** The health document: small and fixed, for monitors that know nothing else of the station. */
import * as v from 'valibot';
import type { StationState } from './events.ts';

const count = v.pipe(v.number(), v.integer(), v.minValue(0));

export const healthSchema = v.strictObject({
  status: v.picklist(['ok', 'degraded']),
  source: v.strictObject({
    state: v.picklist(['live', 'stale', 'lost', 'connecting']),
    /** Of the last live span; null before the first sample. */
    rate_Hz: v.nullable(v.number()),
    samples: count,
    gaps: count,
    damaged: count,
  }),
  recording: v.nullable(
    v.strictObject({
      id: v.string(),
      samples: count,
      durableSamples: count,
      startedAt: v.string(),
    }),
  ),
});

export type Health = v.InferOutput<typeof healthSchema>;

/** `ok` only while samples arrive and, when recording, are written. */
export function healthOf({
  source,
  recording,
}: Pick<StationState, 'source' | 'recording'>): Health {
  const { state, rate_Hz, samples, gaps, damaged } = source;
  const isRecordingWell = recording === null || recording.trouble === '';
  return {
    status: state === 'live' && isRecordingWell ? 'ok' : 'degraded',
    source: { state, rate_Hz, samples, gaps, damaged },
    recording: recording && {
      id: recording.id,
      samples: recording.samples,
      durableSamples: recording.durableSamples,
      startedAt: recording.startedAt,
    },
  };
}
