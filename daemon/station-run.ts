/** Joins the run of sets to the station's parts: stream, recorder, analysis and decisions. */
import type { Ledger, Setup } from '../shared/wire/events.ts';
import type { AnalysisThread } from './pipeline/analysis-thread.ts';
import type { Live } from './pipeline/live.ts';
import { createRunDesk, type RunDesk } from './run/desk.ts';
import type { Archive } from './station-archive.ts';
import type { RecordingDesk } from './station-recording.ts';
import { recordingFolder } from './store/file-names.ts';

export function openRun(parts: {
  readonly dataFolder: string;
  readonly archive: Archive;
  readonly thread: AnalysisThread;
  readonly live: Live;
  readonly desk: RecordingDesk;
  readonly current: () => string | null;
  readonly setup: () => Setup;
  readonly isLive: () => boolean;
  readonly tell: (ledger: Ledger) => void;
  readonly changed: () => void;
  readonly trouble: (what: string, reason: string) => void;
}): RunDesk {
  const { archive, thread, live, desk, ...rest } = parts;
  return createRunDesk({
    ...rest,
    catalogue: archive.catalogue,
    progress: () => live.progress,
    recorder: desk,
    nextIndex: () => live.nextIndex,
    reanalyse: () => desk.phaseEnded(),
    results: async (recording) => {
      const folder = recordingFolder(parts.dataFolder, recording);
      const answer = await thread.ask({ kind: 'recording', folder });
      return 'problem' in answer ? null : answer.document.phases;
    },
  });
}
