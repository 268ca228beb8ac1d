/** What the tester does while preparing, asked of the daemon; trouble is told in words. */
import type { WeighingRecord } from '../../../shared/preparation/documents.ts';
import { ask, done } from '../api.ts';
import { isRecord } from '../message.ts';

export interface Before {
  readonly last: WeighingRecord | null;
  readonly other: WeighingRecord | null;
}

export class PrepareCommands {
  isBusy = $state(false);
  trouble = $state('');
  before = $state.raw<Before>({ last: null, other: null });

  async post(path: string, body?: object): Promise<boolean> {
    if (this.isBusy) return false;
    this.isBusy = true;
    const answer = await ask(path, done, { method: 'POST', ...(body ? { body } : {}) });
    this.isBusy = false;
    this.trouble = answer.isGood ? '' : answer.problem;
    return answer.isGood;
  }

  /** Earlier weighings of this limb and of the other side. */
  async readBefore(): Promise<void> {
    const answer = await ask('/api/preparation', readBefore);
    if (answer.isGood) this.before = answer.value;
  }
}

function readBefore(body: unknown): Before | null {
  const before = isRecord(body) ? body['before'] : null;
  if (!isRecord(before)) return null;
  return { last: record(before['last']), other: record(before['other']) };
}

/** Page and daemon are built together; this checks the frame, not every field. */
function record(value: unknown): WeighingRecord | null {
  const isWhole =
    isRecord(value) && isRecord(value['gravity']) && Array.isArray(value['range_deg']);
  return isWhole ? (value as WeighingRecord) : null;
}
