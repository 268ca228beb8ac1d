/** The position being written down: as typed, beside last time's, and the way to keep it. */
import {
  asLastTime,
  comparePositions,
  fieldTrouble,
  USUAL_FIELDS,
  type PositionField,
  type PositionValues,
} from '../../../shared/preparation/position.ts';
import type { Side } from '../../../shared/analysis-types.ts';
import type { StationState } from '../../../shared/wire/events.ts';
import { t } from '../i18n/index.ts';
import { isRecord } from '../message.ts';
import { changeItem, createItem, listItems, type Item } from './items.ts';
import { keepTyped, parseTyped, typedBefore } from './typed.ts';

export interface Then {
  readonly values: PositionValues;
  readonly side: Side;
  readonly at: string;
}

/** What was written down this long ago belongs to another session. */
const SESSION_MS = 12 * 3_600_000;

export class PositionDraft {
  fields = $state.raw<readonly PositionField[]>(USUAL_FIELDS);
  typed = $state<Record<string, string>>({});
  then = $state.raw<Then | null>(null);
  isBusy = $state(false);
  isKept = $state(false);
  isRead = $state(false);
  trouble = $state('');
  readonly subject: string;
  readonly pattern: string;
  readonly side: Side;
  private readonly station: string;
  private today: Item | null = null;

  constructor({ setup, station }: StationState) {
    this.subject = setup.subject;
    this.pattern = setup.pattern;
    this.side = setup.side;
    this.station = station;
  }

  get key(): string {
    return `position ${this.subject} ${this.pattern} ${this.side}`;
  }

  get values(): Record<string, number> {
    return Object.fromEntries(
      this.fields.flatMap(({ name }) => {
        const value = parseTyped(this.typed[name] ?? '');
        return value === null ? [] : [[name, value]];
      }),
    );
  }

  get rows() {
    return comparePositions(this.fields, this.values, this.then, this.side);
  }

  /** What must be put right before it can be kept; empty when nothing. */
  get wrong(): string {
    for (const field of this.fields) {
      const typed = this.typed[field.name] ?? '';
      const value = parseTyped(typed);
      if (typed.trim() !== '' && value === null) return t.position.noNumber(field.name);
      const trouble = value === null ? '' : fieldTrouble(field, value);
      if (trouble !== '') return trouble;
    }
    return Object.keys(this.values).length === 0 ? t.position.nothingTyped : '';
  }

  get isChanged(): boolean {
    return (
      JSON.stringify(this.values) !== JSON.stringify(inOrder(this.fields, keptValues(this.today)))
    );
  }

  async read(): Promise<void> {
    const [stations, positions] = await Promise.all([
      listItems('stations'),
      listItems('positions'),
    ]);
    if (stations.isGood) {
      const mine = stations.value.find(({ id }) => id === this.station);
      this.fields = fieldsOf(mine?.body['positionFields']);
    }
    if (!positions.isGood) {
      this.trouble = positions.problem;
      return;
    }
    const ofLimb = positions.value.filter(
      ({ body }) => body['subject'] === this.subject && body['pattern'] === this.pattern,
    );
    const isNow = ({ changedAt }: Item) => Date.now() - Date.parse(changedAt) < SESSION_MS;
    const mine = ofLimb.filter(({ body }) => body['side'] === this.side);
    const others = ofLimb.filter(({ body }) => body['side'] !== this.side);
    this.today = mine.filter(isNow).at(-1) ?? null;
    const last = mine.filter((item) => !isNow(item)).at(-1) ?? others.at(-1);
    this.then = last ? thenOf(last) : null;
    this.typed = { ...asTyped(keptValues(this.today)), ...typedBefore(this.key) };
    this.isRead = true;
  }

  type(name: string, text: string): void {
    this.typed[name] = text;
    this.isKept = false;
    keepTyped(this.key, this.typed);
  }

  sameAsLastTime(): void {
    if (!this.then) return;
    this.typed = { ...this.typed, ...asTyped(asLastTime(this.fields, this.then, this.side)) };
    this.isKept = false;
    keepTyped(this.key, this.typed);
  }

  async keep(): Promise<void> {
    if (this.isBusy || this.wrong !== '' || !this.isChanged) return;
    this.isBusy = true;
    const { subject, pattern, side, values, today } = this;
    const body = { ...today?.body, subject, pattern, side, values };
    const answer = today
      ? await changeItem('positions', today, body)
      : await createItem('positions', body);
    this.isBusy = false;
    this.isKept = answer.isGood;
    this.trouble = answer.isGood ? '' : answer.problem;
    if (!answer.isGood) return;
    this.today = answer.value;
    keepTyped(this.key, {});
  }
}

function keptValues(item: Item | null): PositionValues {
  const values = item?.body['values'];
  return isRecord(values) ? (values as PositionValues) : {};
}

function thenOf(item: Item): Then {
  const side: Side = item.body['side'] === 'left' ? 'left' : 'right';
  return { values: keptValues(item), side, at: item.changedAt };
}

function fieldsOf(value: unknown): readonly PositionField[] {
  return Array.isArray(value) && value.length > 0 ? (value as PositionField[]) : USUAL_FIELDS;
}

function asTyped(values: PositionValues): Record<string, string> {
  return Object.fromEntries(Object.entries(values).map(([name, value]) => [name, String(value)]));
}

function inOrder(fields: readonly PositionField[], values: PositionValues): PositionValues {
  return Object.fromEntries(
    fields.flatMap(({ name }) => {
      const value = values[name];
      return typeof value === 'number' ? [[name, value]] : [];
    }),
  );
}
