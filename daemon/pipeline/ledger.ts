/**
 * The ledger of the set under way: when a phase ends, the set so far is analysed and told as
 * provisional, at most once a second; at the end the recording is analysed once and told as settled.
 */
import type { AnalysisDocument, Conditions, Phase, Signal } from '../../shared/analysis-types.ts';
import type { Block } from '../../shared/block/block.ts';
import type { Ledger } from '../../shared/wire/events.ts';
import type { AnalysisThread } from './analysis-thread.ts';
import type { AnalysisAnswer } from './analyst.ts';
import { createSignalStore, type SignalStoreOptions } from './signal-store.ts';

/** Phases of a fast set end twice a second; nobody reads that fast. */
const PROVISIONAL_EVERY_ms = 1_000;
/** How near the newest sample the end of a phase that still goes on is found. */
const UNDER_WAY_s = 0.1;

export interface LedgerOptions extends SignalStoreOptions {
  readonly recording: string;
  /** Asked at every analysis: people decide while the set runs. */
  readonly conditions: () => Conditions;
  readonly thread: AnalysisThread;
  readonly tell: (ledger: Ledger) => void;
  readonly trouble: (reason: string) => void;
}

export interface LedgerKeeper {
  add(block: Block): void;
  /** Something ended that is worth a row. */
  phaseEnded(): void;
  /** The set so far, analysed without being told its mode or speed; null when that cannot be. */
  blind(): Promise<{ readonly document: AnalysisDocument; readonly signal: Signal } | null>;
  /** Analyses the closed recording in `folder`; null when that failed. */
  settle(folder: string): Promise<Extract<AnalysisAnswer, { key: string }> | null>;
}

export function keepLedger(options: LedgerOptions): LedgerKeeper {
  const { recording, conditions, thread, tell, trouble } = options;
  const store = createSignalStore(options);
  let timer: NodeJS.Timeout | null = null;
  let isDue = false;
  let isEnded = false;

  const tellProvisional = async (): Promise<void> => {
    const signal = store.signal();
    if (!signal) return;
    const end_s = signal.time_s.at(-1) ?? 0;
    const answer = await thread.ask({ kind: 'signal', signal, conditions: conditions() });
    if (isEnded) return;
    if ('problem' in answer) {
      trouble(answer.problem);
      return;
    }
    const phases = answer.document.phases.filter((phase) => !isUnderWay(phase, end_s));
    tell({ recording, finality: 'provisional', phases });
  };
  /** The pause begins when an analysis is asked for, and goes on until it has answered. */
  const analyseNow = (): void => {
    isDue = false;
    const answered = tellProvisional();
    timer = setTimeout(() => {
      void answered.then(() => {
        timer = null;
        if (isDue && !isEnded) analyseNow();
      });
    }, PROVISIONAL_EVERY_ms);
  };

  return {
    add: (block) => store.add(block),
    phaseEnded() {
      isDue = true;
      if (timer === null) analyseNow();
    },
    async blind() {
      const signal = store.signal();
      if (!signal) return null;
      const told = conditions();
      const untold = Object.fromEntries(
        Object.entries(told).filter(([name]) => name !== 'mode' && name !== 'speed_degps'),
      );
      const answer = await thread.ask({ kind: 'signal', signal, conditions: untold });
      return 'problem' in answer ? null : { document: answer.document, signal };
    },
    async settle(folder) {
      isEnded = true;
      if (timer) clearTimeout(timer);
      const answer = await thread.ask({ kind: 'recording', folder });
      if ('problem' in answer) {
        trouble(answer.problem);
        return null;
      }
      tell({ recording, finality: 'settled', phases: answer.document.phases });
      return answer;
    },
  };
}

/** A phase that the end of the samples cut is not a row yet. */
function isUnderWay(phase: Phase, signalEnd_s: number): boolean {
  return phase.reasons.includes('cut') && phase.end_s > signalEnd_s - UNDER_WAY_s;
}
