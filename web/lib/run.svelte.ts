/** The run as the tester works it: what the daemon says of it, and what a key or a touch asks for. */
import type { EarlyReason } from '../../shared/session/run.ts';
import { plannedSet } from '../../shared/session/run-view.ts';
import type { Screen } from '../../shared/session/screen.ts';
import { ask, done } from './api.ts';
import type { LedgerRow } from './ledger.ts';
import type { Station } from './station.svelte.ts';

export class Run {
  /** Which panel lies in the place of the ledger. */
  panel = $state<'none' | 'plan' | 'screen'>('none');
  trouble = $state('');
  /** Repetition that a person selected; null: the last one is meant. */
  selected = $state<number | null>(null);
  /** Rows of the ledger, as the page shows them. */
  rows = $state.raw<readonly LedgerRow[]>([]);
  private readonly station: Station;

  constructor(station: Station) {
    this.station = station;
  }

  get view() {
    return this.station.state?.run ?? null;
  }

  get isOn(): boolean {
    return this.view !== null && this.view.stage !== 'none';
  }

  get planned() {
    return this.view && plannedSet(this.view);
  }

  /** The row that X acts on. */
  get row(): LedgerRow | null {
    const judged = this.rows.filter(({ phases }) => phases.falling ?? phases.rising);
    return judged.find(({ repetition }) => repetition === this.selected) ?? judged.at(-1) ?? null;
  }

  /** The newest set ended early and nobody has said why. */
  get isAskingWhy(): boolean {
    const last = this.view?.outcomes.at(-1);
    const isAfter = this.view?.stage === 'rest' || this.view?.stage === 'done';
    return isAfter && last?.how === 'early' && last.reason === null;
  }

  /** Best peak so far, to take a share of; 0 before any. */
  get greatest_Nm(): number {
    return Math.max(0, ...(this.view?.agreements ?? []).map(({ best_Nm }) => best_Nm));
  }

  select(by: -1 | 1): void {
    const numbers = this.rows.map(({ repetition }) => repetition);
    const at = numbers.indexOf(this.row?.repetition ?? 0);
    this.selected = numbers[at + by] ?? this.selected;
  }

  /** Space: whatever comes next. */
  go(): void {
    const stage = this.view?.stage;
    if (stage === 'ready' || stage === 'rest') void this.post('go');
    else if (stage === 'set' || stage === 'countdown') void this.post('pause');
  }

  holdRest(): void {
    void this.post('pause');
  }

  reject(): void {
    const { row } = this;
    if (!row) return;
    const counts = row.state === 'excluded';
    void this.post('decide', { repetition: row.repetition, counts });
  }

  why(reason: EarlyReason): void {
    if (this.isAskingWhy) void this.post('reason', { reason });
  }

  score(scale: 'pain' | 'exertion', value: number): void {
    void this.post('score', { scale, value });
  }

  async open(protocol: string | null): Promise<void> {
    const isDone = await this.send('/api/run', 'POST', protocol === null ? {} : { protocol });
    if (isDone) this.panel = 'none';
  }

  show(change: Partial<Screen>): void {
    const screen = this.view?.screen;
    if (screen) void this.send('/api/run/screen', 'PUT', { ...screen, ...change });
  }

  post(path: string, body: object = {}): Promise<boolean> {
    return this.send(`/api/run/${path}`, 'POST', body);
  }

  private async send(path: string, method: 'POST' | 'PUT', body: object): Promise<boolean> {
    const answer = await ask(path, done, { method, body });
    this.trouble = answer.isGood ? '' : answer.problem;
    return answer.isGood;
  }
}
