/** What a report is told about its recordings beside the samples: who, where, and what was measured last time. */

export interface EffortBest {
  readonly effort: string;
  readonly direction: string;
  readonly action: string;
  readonly speed_degps: number | null;
  readonly bestPeakTorque_Nm: number | null;
}

export interface RecordingFacts {
  readonly id: string;
  readonly name: string;
  readonly startedAt: string;
  readonly station: string;
  readonly software: string;
  readonly subject: string;
  readonly pattern: string;
  readonly side: string;
  readonly mode: string;
  readonly isSimulated: boolean;
  /** Settings of chair, motor and attachment that were written down. */
  readonly nPositions: number;
  /** The same test of the same side on an earlier day; null without one. */
  readonly before: { readonly startedAt: string; readonly efforts: readonly EffortBest[] } | null;
  /** Lines of the trust record that a reader should see. */
  readonly cautions: readonly string[];
}

export interface SubjectFacts {
  readonly age_years: number | null;
  readonly sex: string;
  readonly bodyMass_kg: number | null;
  readonly height_cm: number | null;
  readonly dominantSide: string;
}

/** How far a repeated measurement scatters at this site, from its own retests. */
export interface OwnError {
  readonly pattern: string;
  readonly effort: string;
  readonly direction: string;
  readonly action: string;
  readonly speed_degps: number | null;
  readonly mdc95_Nm: number;
  /** Pairs of tests that it comes from. */
  readonly nPairs: number;
}

export interface ReportFacts {
  readonly id: string;
  readonly recordings: readonly RecordingFacts[];
  readonly subject: SubjectFacts | null;
  readonly errors: readonly OwnError[];
}
