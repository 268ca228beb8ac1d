/**
 * Exporters: how a recording leaves in an open format, with units, signs and provenance.
 * One file a format, listed at the bottom. Same recording, same bytes; memory does not grow with it.
 */
import { csv } from './csv.ts';
import { edf } from './edf.ts';
import { hdf5 } from './hdf5.ts';
import { parquet } from './parquet.ts';

/** A column of an export, in the words of the data dictionary. */
export interface ExportColumn {
  /** Identifier with its unit, as everywhere: `torque_Nm`. */
  readonly name: string;
  readonly unit: string;
  /** Sign and origin in words, e.g. `positive toward dorsiflexion; calibrated, unfiltered`. */
  readonly meaning: string;
  /** Ends of what the channel can show, in `unit`; a format of integers needs them. */
  readonly least: number;
  readonly most: number;
  /** How much later than the limb this channel comes, as the wiring states it; it is not moved. */
  readonly delay_ms: number;
}

/** Consecutive samples; a jump of `index` between two chunks is a hole. */
export interface ExportChunk {
  readonly index: number;
  readonly n: number;
  /** One array a column, in the order of `columns`; NaN is no sample. */
  readonly columns: readonly Float64Array[];
}

export interface ExportMarker {
  /** Place among the samples, with a fraction where it lies between two. */
  readonly index: number;
  readonly time_s: number;
  /** Set by a person or a script, or an edge of the wired trigger channel. */
  readonly kind: 'marker' | 'trigger';
  readonly text: string;
}

/** Samples that are missing: [first, end) of the index. */
export interface ExportHole {
  readonly first: number;
  readonly end: number;
}

export interface ExportSource {
  readonly id: string;
  readonly rate_Hz: number;
  /** One past the last sample's index, holes included: sizes the progress and the regular grids. */
  readonly end: number;
  /** Wall clock of index 0, ISO 8601 UTC. */
  readonly startedAt: string;
  readonly columns: readonly ExportColumn[];
  /** In the order of time. */
  readonly markers: readonly ExportMarker[];
  readonly holes: readonly ExportHole[];
  /** Subject, pattern, calibration, gravity, recipe, hashes, software: all that explains the numbers. */
  readonly provenance: Readonly<Record<string, unknown>>;
  /** From the start, each time it is called. */
  chunks(): Iterable<ExportChunk>;
}

export interface Exporter {
  readonly id: string;
  readonly extension: string;
  readonly about: string;
  /** Writes `path` and returns every file it wrote; `progress` gets the index reached. */
  write(source: ExportSource, path: string, progress: (index: number) => void): Promise<string[]>;
}

export const EXPORTERS = [csv, parquet, edf, hdf5] as const satisfies readonly Exporter[];

export type ExportFormat = (typeof EXPORTERS)[number]['id'];

export function exporterById(id: string): Exporter | undefined {
  return EXPORTERS.find((exporter) => exporter.id === id);
}
