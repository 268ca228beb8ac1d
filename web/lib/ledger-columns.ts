/** Which measures the ledger shows a direction, by the kind of test. The desk shows all of them. */
import type { Mode, Phase } from '../../shared/analysis-types.ts';
import { magnitude, number } from './format.ts';
import { t } from './i18n/index.ts';

export interface LedgerColumn {
  readonly id: string;
  readonly head: string;
  /** A longer form of the head, where it is short. */
  readonly title?: string;
  /** Left out where the page is narrow. */
  readonly isWide?: boolean;
  readonly text: (phase: Phase) => string;
  /** Angle whose direction is said in short beside the number. */
  readonly angle_deg?: (phase: Phase) => number | null;
}

function firstRise(phase: Phase): number | null {
  const rates = phase.rateOfTorqueDevelopment_Nmps;
  return rates?.['0-200'] ?? null;
}

const peak: LedgerColumn = {
  id: 'peak',
  head: t.ledger.peak,
  text: (phase) => magnitude(phase.peakTorque_Nm),
};

const MOVING: readonly LedgerColumn[] = [
  peak,
  {
    id: 'angle',
    head: t.ledger.atAngle,
    text: ({ angleAtPeakTorque_deg }) =>
      angleAtPeakTorque_deg === null ? magnitude(null) : `${magnitude(angleAtPeakTorque_deg)}°`,
    angle_deg: (phase) => phase.angleAtPeakTorque_deg,
  },
  { id: 'work', head: t.ledger.work, text: (phase) => number(phase.work_J) },
  { id: 'power', head: t.ledger.power, text: (phase) => number(phase.meanPower_W) },
  {
    id: 'load',
    head: t.ledger.loadRange,
    isWide: true,
    text: ({ loadRange }) => (loadRange ? `${magnitude(loadRange.range_deg)}°` : magnitude(null)),
  },
];

const STILL: readonly LedgerColumn[] = [
  peak,
  { id: 'toPeak', head: t.ledger.toPeak, text: (phase) => number(phase.timeToPeakTorque_s, 2) },
  {
    id: 'rise',
    head: t.ledger.rise,
    title: t.ledger.riseTitle,
    text: (phase) => number(firstRise(phase)),
  },
  {
    id: 'impulse',
    head: t.ledger.impulse,
    isWide: true,
    text: (phase) => number(phase.impulse_Nms),
  },
];

export function ledgerColumns(mode: Mode): readonly LedgerColumn[] {
  return mode === 'isometric' ? STILL : MOVING;
}
