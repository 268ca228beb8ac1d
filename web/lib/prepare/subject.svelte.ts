/** The subject's own facts and this session's screening, as typed, and the way to keep both. */
import { t } from '../i18n/index.ts';
import { isRecord } from '../message.ts';
import { changeItem, createItem, listItems, type Item } from './items.ts';
import { keepTyped, parseTyped, typedBefore } from './typed.ts';

const SESSION_MS = 12 * 3_600_000;
const TYPED = ['mass', 'height', 'age', 'dominant', 'affected', 'pain'] as const;

export class SubjectDraft {
  mass = $state('');
  height = $state('');
  age = $state('');
  dominant = $state('');
  affected = $state('');
  pain = $state('');
  answers = $state<Record<string, string>>({});
  isKept = $state(false);
  trouble = $state('');
  readonly code: string;
  private readonly station: string;
  private subject: Item | null = null;
  private session: Item | null = null;

  constructor(code: string, station: string) {
    this.code = code;
    this.station = station;
  }

  /** What must be put right before it can be kept; empty when nothing. */
  get wrong(): string {
    const within = (text: string, least: number, most: number) => {
      const value = parseTyped(text);
      return text.trim() === '' || (value !== null && value >= least && value <= most);
    };
    if (!within(this.mass, 1, 500)) return t.subject.massRange;
    if (!within(this.height, 30, 260)) return t.subject.heightRange;
    if (!within(this.age, 0, 120)) return t.subject.ageRange;
    return within(this.pain, 0, 10) ? '' : t.subject.painRange;
  }

  get painBefore(): number | null {
    return parseTyped(this.pain);
  }

  async read(): Promise<void> {
    const [subjects, sessions] = await Promise.all([listItems('subjects'), listItems('sessions')]);
    if (subjects.isGood) {
      this.subject = subjects.value.find(({ id }) => id === this.code) ?? null;
      const body = this.subject?.body ?? {};
      this.mass = textOf(body['bodyMass_kg']);
      this.height = textOf(body['height_cm']);
      this.age = textOf(body['age_years']);
      this.dominant = textOf(body['dominantSide']);
      this.affected = textOf(body['affectedSide']);
    }
    if (sessions.isGood) {
      const mine = sessions.value.filter(
        ({ body, createdAt }) =>
          body['subject'] === this.code && Date.now() - Date.parse(createdAt) < SESSION_MS,
      );
      this.session = mine.at(-1) ?? null;
      const { painBefore, screening } = this.session?.body ?? {};
      this.pain = textOf(painBefore);
      this.answers = isRecord(screening)
        ? Object.fromEntries(Object.entries(screening).map(([q, a]) => [q, String(a)]))
        : {};
    }
    const typed = typedBefore(this.key);
    for (const name of TYPED) this[name] = typed[name] ?? this[name];
  }

  remember(): void {
    this.isKept = false;
    keepTyped(this.key, Object.fromEntries(TYPED.map((name) => [name, this[name]])));
  }

  async answer(question: string, answer: string): Promise<void> {
    const others = Object.entries(this.answers).filter(([asked]) => asked !== question);
    this.answers = Object.fromEntries(answer === '' ? others : [...others, [question, answer]]);
    await this.keepSession();
  }

  /** Nothing typed about a subject leaves nothing in the catalogue. */
  async keep(): Promise<void> {
    if (this.wrong !== '' || this.code === '') return;
    const age = parseTyped(this.age);
    const facts = {
      ...numberField('bodyMass_kg', this.mass),
      ...numberField('height_cm', this.height),
      // 90 stands for 90 and over.
      ...(age === null ? {} : { age_years: Math.min(90, Math.floor(age)) }),
      ...(this.dominant === '' ? {} : { dominantSide: this.dominant }),
      ...(this.affected === '' ? {} : { affectedSide: this.affected }),
    };
    if (this.subject || Object.keys(facts).length > 0) {
      const body = { ...this.subject?.body, code: this.code, ...facts };
      const answer = this.subject
        ? await changeItem('subjects', this.subject, body)
        : await createItem('subjects', body);
      this.trouble = answer.isGood ? '' : answer.problem;
      if (!answer.isGood) return;
      this.subject = answer.value;
    }
    if (this.painBefore !== null) await this.keepSession();
    if (this.trouble !== '') return;
    this.isKept = true;
    keepTyped(this.key, {});
  }

  private get key(): string {
    return `subject ${this.code}`;
  }

  private async keepSession(): Promise<void> {
    const { painBefore, answers, code, station } = this;
    const body = {
      // eslint-disable-next-line svelte/prefer-svelte-reactivity -- a moment, never changed
      startedAt: new Date().toISOString(),
      ...this.session?.body,
      ...{ subject: code, station, screening: answers },
      ...(painBefore === null ? {} : { painBefore }),
    };
    const answer = this.session
      ? await changeItem('sessions', this.session, body)
      : await createItem('sessions', body);
    this.trouble = answer.isGood ? '' : answer.problem;
    if (answer.isGood) this.session = answer.value;
  }
}

function textOf(value: unknown): string {
  return typeof value === 'string' || typeof value === 'number' ? String(value) : '';
}

function numberField(name: string, text: string): Record<string, number> {
  const value = parseTyped(text);
  return value === null ? {} : { [name]: value };
}
