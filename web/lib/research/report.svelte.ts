/** A report: its facts from the station, its numbers computed in this page, one recording after the other. */
import type { ReportFacts } from '../../../shared/report/facts.ts';
import type { ReportPart } from '../../../shared/report/part.ts';
import { buildReport } from '../../../shared/report/report.ts';
import { ask, askBytes } from '../api.ts';
import { desk } from '../i18n/desk.ts';
import { isRecord } from '../message.ts';
import type { Asked, Told } from './recompute.ts';
import { startRecompute } from './thread.ts';

export class ReportLoad {
  facts = $state.raw<ReportFacts | null>(null);
  parts = $state.raw<readonly ReportPart[] | null>(null);
  problem = $state('');
  report = $derived(this.facts && this.parts ? buildReport(this.facts, this.parts) : null);
  private worker: Worker | null = null;

  async open(id: string): Promise<void> {
    const answer = await ask(`/api/reports/${encodeURIComponent(id)}`, readFacts);
    if (!answer.isGood) {
      this.problem = answer.problem;
      return;
    }
    this.facts = answer.value;
    const parts: ReportPart[] = [];
    for (const recording of answer.value.recordings) {
      const part = await this.compute(recording.id);
      if (part) parts.push(part);
    }
    this.parts = parts;
  }

  close(): void {
    this.worker?.terminate();
    this.worker = null;
  }

  private async compute(id: string): Promise<ReportPart | null> {
    const answer = await askBytes(`/api/recordings/${encodeURIComponent(id)}/signal`);
    if (!answer.isGood) {
      this.problem = answer.problem;
      return null;
    }
    const worker = (this.worker ??= startRecompute());
    const told = await new Promise<Told>((resolve) => {
      const hear = ({ data }: MessageEvent<Told>) => resolve(data);
      worker.addEventListener('message', hear, { once: true });
      worker.postMessage({ kind: 'part', bytes: answer.value } satisfies Asked);
    });
    if (told.kind === 'part') return told.part;
    this.problem = told.kind === 'failed' ? told.problem || desk.recipe.failed : '';
    return null;
  }
}

/** Page and daemon are built together; this checks the frame, not every field in it. */
function readFacts(body: unknown): ReportFacts | null {
  const isWhole = isRecord(body) && Array.isArray(body['recordings']);
  return isWhole && Array.isArray(body['errors']) ? (body as unknown as ReportFacts) : null;
}
