/** The alignment checks of this station for this joint, which of them were done, and the way to change the list. */
import { patternById } from '../../../shared/joints/index.ts';
import { usualChecks } from '../../../shared/preparation/guidance.ts';
import type { StationState } from '../../../shared/wire/events.ts';
import { isRecord } from '../message.ts';
import { changeItem, createItem, listItems, type Item } from './items.ts';

const SESSION_MS = 12 * 3_600_000;

export class AlignmentDraft {
  checks = $state.raw<readonly string[]>([]);
  done = $state.raw<readonly string[]>([]);
  isBusy = $state(false);
  trouble = $state('');
  private readonly usual: readonly string[];
  private readonly limb: { subject: string; pattern: string; side: string };
  private readonly name: string;
  private station: Item | null = null;
  private position: Item | null = null;

  constructor({ setup, station }: StationState) {
    const pattern = patternById(setup.pattern);
    this.usual = pattern ? usualChecks(pattern) : [];
    this.checks = this.usual;
    this.limb = { subject: setup.subject, pattern: setup.pattern, side: setup.side };
    this.name = station;
  }

  async read(): Promise<void> {
    const [stations, positions] = await Promise.all([
      listItems('stations'),
      listItems('positions'),
    ]);
    if (stations.isGood) {
      this.station = stations.value.find(({ id }) => id === this.name) ?? null;
      const own = isRecord(this.station?.body['checks'])
        ? this.station.body['checks'][this.limb.pattern]
        : null;
      if (Array.isArray(own) && own.length > 0) this.checks = own.map(String);
    }
    if (!positions.isGood) {
      this.trouble = positions.problem;
      return;
    }
    const mine = positions.value.filter(
      ({ body, changedAt }) =>
        Object.entries(this.limb).every(([name, value]) => body[name] === value) &&
        Date.now() - Date.parse(changedAt) < SESSION_MS,
    );
    this.position = mine.at(-1) ?? null;
    const done = this.position?.body['checks'];
    this.done = Array.isArray(done) ? done.map(String) : [];
  }

  async mark(check: string, isDone: boolean): Promise<void> {
    await this.keepDone(
      isDone ? [...this.done, check] : this.done.filter((other) => other !== check),
    );
  }

  async clear(): Promise<void> {
    await this.keepDone([]);
  }

  /** Empty lines are left out; an empty list is the usual one again. */
  async changeList(lines: readonly string[]): Promise<void> {
    const wanted = lines.map((line) => line.trim()).filter((line) => line !== '');
    const before = isRecord(this.station?.body['checks']) ? this.station.body['checks'] : {};
    const checks = { ...before, [this.limb.pattern]: wanted };
    const body = { name: this.name, ...this.station?.body, checks };
    const answer = this.station
      ? await changeItem('stations', this.station, body)
      : await createItem('stations', body);
    this.trouble = answer.isGood ? '' : answer.problem;
    if (!answer.isGood) return;
    this.station = answer.value;
    this.checks = wanted.length > 0 ? wanted : this.usual;
  }

  private async keepDone(done: readonly string[]): Promise<void> {
    if (this.isBusy) return;
    const before = this.done;
    this.done = done;
    this.isBusy = true;
    const body = { values: {}, ...this.position?.body, ...this.limb, checks: done };
    const answer = this.position
      ? await changeItem('positions', this.position, body)
      : await createItem('positions', body);
    this.isBusy = false;
    this.trouble = answer.isGood ? '' : answer.problem;
    if (answer.isGood) this.position = answer.value;
    else this.done = before;
  }
}
