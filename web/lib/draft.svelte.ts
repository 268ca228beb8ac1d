/** A set-up being changed: fields as typed, what is wrong with them in words, and the way to keep it. */
import type { Mode, Side } from '../../shared/analysis-types.ts';
import { patternById } from '../../shared/joints/index.ts';
import { limitsTrouble } from '../../shared/preparation/limits.ts';
import type { Setup } from '../../shared/wire/events.ts';
import { ask, done } from './api.ts';
import { t } from './i18n/index.ts';
import { steps } from './i18n/steps.ts';
import { keepTyped, typedBefore } from './prepare/typed.ts';
import type { Station } from './station.svelte.ts';
import { angleWords } from './words.ts';

const KEY = 'setup';
/** Fields that are free text; what was chosen from a list is kept beside them. */
const TYPED = [
  'subject',
  'speed',
  'repetitions',
  'least',
  'most',
  'torqueLimit',
  'scaleLow',
  'scaleHigh',
  'sheet',
] as const;

const CODE = /^[A-Za-z0-9][A-Za-z0-9._-]{0,23}$/;

export class Draft {
  subject = $state('');
  pattern = $state('');
  side = $state<Side>('right');
  mode = $state<Mode>('isokinetic');
  speed = $state('');
  repetitions = $state('');
  least = $state('');
  most = $state('');
  torqueLimit = $state('');
  scaleLow = $state('');
  scaleHigh = $state('');
  sheet = $state('');
  isBusy = $state(false);
  isKept = $state(false);
  trouble = $state('');
  private readonly station: Station;

  /** Null before the station has said what is set. */
  static of(station: Station): Draft | null {
    return station.state ? new Draft(station, station.state.setup) : null;
  }

  constructor(station: Station, setup: Setup) {
    this.station = station;
    this.fill(setup);
    this.recall();
  }

  /** What was typed and not kept outlives a reload. */
  remember(): void {
    const { pattern, side, mode } = this;
    const free = Object.fromEntries(TYPED.map((name) => [name, this[name]]));
    keepTyped(KEY, this.isChanged ? { ...free, pattern, side, mode } : {});
  }

  get joint() {
    return patternById(this.pattern);
  }

  /** The set-up as typed; null while a field is not a number. */
  get setup(): Setup | null {
    const numbers = {
      speed_degps: parse(this.speed),
      repetitions: parse(this.repetitions),
      least: parse(this.least),
      most: parse(this.most),
      torqueLimit_Nm: parse(this.torqueLimit),
      low: parse(this.scaleLow),
      high: parse(this.scaleHigh),
      sheet_s: parse(this.sheet),
    };
    if (Object.values(numbers).some((value) => value === null)) return null;
    const { speed_degps, repetitions, least, most, torqueLimit_Nm, low, high, sheet_s } = numbers;
    return {
      subject: this.subject.trim(),
      pattern: this.pattern,
      side: this.side,
      mode: this.mode,
      speed_degps: speed_degps ?? 0,
      repetitions: repetitions ?? 0,
      rangeLimits_deg: [least ?? 0, most ?? 0],
      torqueLimit_Nm: torqueLimit_Nm ?? 0,
      torqueScale_Nm: [-(low ?? 0), high ?? 0],
      sheet_s: sheet_s ?? 0,
    };
  }

  get isChanged(): boolean {
    const kept = this.station.state?.setup;
    return kept !== undefined && JSON.stringify(inOrder(kept)) !== JSON.stringify(this.setup);
  }

  /** What must be put right before it can be kept; empty when nothing. */
  get wrong(): string {
    const { setup } = this;
    if (!CODE.test(this.subject.trim())) return steps.setup.needsCode;
    if (setup === null) return steps.setup.needsNumber;
    const [least, most] = setup.rangeLimits_deg;
    return limitsTrouble(this.joint, [least, most]);
  }

  /** Another joint brings its own usual range and first usual speed. */
  choosePattern(id: string): void {
    this.pattern = id;
    this.isKept = false;
    const pattern = patternById(id);
    if (!pattern) return;
    this.least = String(pattern.usualRange_deg[0]);
    this.most = String(pattern.usualRange_deg[1]);
    if (this.mode !== 'isometric') this.speed = String(pattern.usualSpeeds_degps[0] ?? 60);
  }

  usualRange(): string {
    const pattern = this.joint;
    if (!pattern) return '';
    const [least, most] = pattern.usualRange_deg;
    return steps.setup.usualRange(
      t.path.range(angleWords(least, pattern), angleWords(most, pattern)),
    );
  }

  async keep(): Promise<void> {
    const { setup } = this;
    if (!setup || this.wrong !== '' || this.isBusy) return;
    this.isBusy = true;
    const answer = await ask('/api/setup', done, { method: 'PUT', body: setup });
    this.isBusy = false;
    this.isKept = answer.isGood;
    if (answer.isGood) keepTyped(KEY, {});
    this.trouble = answer.isGood ? '' : answer.problem;
  }

  private recall(): void {
    const typed = typedBefore(KEY);
    for (const name of TYPED) {
      const text = typed[name];
      if (text !== undefined) this[name] = text;
    }
    const { pattern, side, mode } = typed;
    if (pattern !== undefined && patternById(pattern)) this.pattern = pattern;
    if (side === 'left' || side === 'right') this.side = side;
    if (isMode(mode)) this.mode = mode;
  }

  private fill(setup: Setup): void {
    this.subject = setup.subject;
    this.pattern = setup.pattern;
    this.side = setup.side;
    this.mode = setup.mode;
    this.speed = String(setup.speed_degps);
    this.repetitions = String(setup.repetitions);
    this.least = String(setup.rangeLimits_deg[0]);
    this.most = String(setup.rangeLimits_deg[1]);
    this.torqueLimit = String(setup.torqueLimit_Nm);
    this.scaleLow = String(-setup.torqueScale_Nm[0]);
    this.scaleHigh = String(setup.torqueScale_Nm[1]);
    this.sheet = String(setup.sheet_s);
  }
}

function isMode(value: string | undefined): value is Mode {
  return ['isokinetic', 'isotonic', 'isometric', 'passive'].includes(value ?? '');
}

/** Takes a decimal comma and a minus sign as people type them. */
function parse(text: string): number | null {
  const plain = text.trim().replace(',', '.').replace('\u2212', '-');
  const value = Number(plain);
  return plain === '' || !Number.isFinite(value) ? null : value;
}

function inOrder(setup: Setup): Setup {
  return {
    subject: setup.subject,
    pattern: setup.pattern,
    side: setup.side,
    mode: setup.mode,
    speed_degps: setup.speed_degps,
    repetitions: setup.repetitions,
    rangeLimits_deg: setup.rangeLimits_deg,
    torqueLimit_Nm: setup.torqueLimit_Nm,
    torqueScale_Nm: setup.torqueScale_Nm,
    sheet_s: setup.sheet_s,
  };
}
