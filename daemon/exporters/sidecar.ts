/**
 * The JSON beside an export: keys of the BIDS standard for physiological recordings
 * (SamplingFrequency, StartTime, Columns, a description for each column) and our provenance.
 */
import { writeFileSync } from 'node:fs';
import type { ExportColumn, ExportSource } from './index.ts';

/** `sample_index` and `time_s` stand first in every table. */
export const KEY_COLUMNS: readonly Pick<ExportColumn, 'name' | 'unit' | 'meaning'>[] = [
  {
    name: 'sample_index',
    unit: '1',
    meaning: 'number of the sample since the start; a jump is a hole',
  },
  { name: 'time_s', unit: 's', meaning: "sample_index divided by the device's sample rate" },
];

export function sidecarOf(source: ExportSource): Record<string, unknown> {
  const columns = [...KEY_COLUMNS, ...source.columns];
  return {
    SamplingFrequency: source.rate_Hz,
    StartTime: 0,
    Columns: columns.map((column) => column.name),
    ...Object.fromEntries(
      KEY_COLUMNS.map(({ name, unit, meaning }) => [name, { Units: unit, Description: meaning }]),
    ),
    ...Object.fromEntries(
      source.columns.map(({ name, unit, meaning, delay_ms }) => [
        name,
        { Units: unit, Description: meaning, Delay: delay_ms / 1000 },
      ]),
    ),
    RecordingStart: source.startedAt,
    Markers: source.markers.map(({ index, time_s, kind, text }) => {
      return { onset: time_s, sampleIndex: index, kind, description: text };
    }),
    Holes: source.holes.map(({ first, end }) => ({ firstSample: first, samples: end - first })),
    Provenance: source.provenance,
  };
}

/** Writes the sidecar of `path` and returns its own path. */
export function writeSidecar(source: ExportSource, path: string): string {
  const beside = `${path.replace(/\.[^./\\]+$/, '')}.json`;
  writeFileSync(beside, `${JSON.stringify(sidecarOf(source), null, 2)}\n`);
  return beside;
}
