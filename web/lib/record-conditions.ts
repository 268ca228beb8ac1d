/** What was being tested, from a recording's start document; everything in it may be missing. */
import type { Mode, Side } from '../../shared/analysis-types.ts';
import { isRecord } from './message.ts';
import { numberOf, type Opened, textOf } from './recordings.ts';

export interface RecordConditions {
  readonly subject: string;
  readonly pattern: string;
  readonly side: Side | '';
  readonly mode: Mode;
  readonly speed_degps: number | null;
  readonly range_deg: readonly [number, number] | null;
  readonly torqueLimit_Nm: number | null;
}

export function conditionsOf(opened: Opened | null): RecordConditions {
  const stated = isRecord(opened?.start?.['conditions']) ? opened.start['conditions'] : {};
  const side = stated['side'];
  const mode = stated['mode'];
  return {
    subject: textOf(stated['subject']),
    pattern: textOf(stated['pattern']),
    side: side === 'left' || side === 'right' ? side : '',
    mode: mode === 'isotonic' || mode === 'isometric' || mode === 'passive' ? mode : 'isokinetic',
    speed_degps: numberOf(stated['speed_degps']),
    range_deg: pair(stated['rangeLimits_deg']),
    torqueLimit_Nm: numberOf(stated['torqueLimit_Nm']),
  };
}

function pair(value: unknown): readonly [number, number] | null {
  if (!Array.isArray(value)) return null;
  const least = numberOf(value[0]);
  const most = numberOf(value[1]);
  return least === null || most === null || least >= most ? null : [least, most];
}
