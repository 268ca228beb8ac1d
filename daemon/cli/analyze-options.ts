/** The options of `analyze`, read and checked; whatever cannot be used is one line. */
import { readFileSync } from 'node:fs';
import type { Conditions, Mode, Side } from '../../shared/analysis-types.ts';
import type { InputUncertainty } from '../../shared/measures/uncertainty.ts';
import { PATTERNS } from '../../shared/joints/index.ts';
import type { Quantity } from '../../shared/tables/columns.ts';
import { readGravity } from '../tables/read-gravity.ts';
import type { TableOptions } from '../tables/read-table-file.ts';
import { parseArguments, UsageError } from './command.ts';

export interface AnalyzeOptions {
  readonly files: readonly string[];
  readonly isJson: boolean;
  readonly dataFolder: string;
  readonly table: TableOptions;
  readonly conditions: Conditions;
  /** Parsed JSON of `--recipe`; undefined for none. */
  readonly recipe: unknown;
  /** `--uncertainty`: what is known about the inputs. */
  readonly known: InputUncertainty;
  /** `--plain`: without uncertainties and spans. */
  readonly isPlain: boolean;
}

const MODES: readonly Mode[] = ['isokinetic', 'isotonic', 'isometric', 'passive'];
const SIDES: readonly Side[] = ['left', 'right'];
const TORQUES = ['signed', 'unsigned'] as const;
const QUANTITIES: readonly Quantity[] = ['time', 'torque', 'angle', 'velocity', 'index'];

export const ANALYZE_USAGE = `
Usage: momentarm analyze FILE... [options]

FILE is a plain table (.csv, .csv.gz) or a recording (its folder or its id).
A table has a header; columns time_s, torque_Nm, angle_deg, optional velocity_deg_per_s.

What is being tested; what is left out is worked out and named in "inferred":
  --pattern ID            ${PATTERNS.map(({ id }) => id).join('\n                          ')}
  --side left|right       --mode ${MODES.join('|')}
  --speed DEG_PER_S       --load NM            --body-mass-kg KG
  --gravity none|sinusoid:AMPLITUDE_NM,HORIZONTAL_AT_DEG|curve:FILE
  --torque signed|unsigned
  --recipe FILE           parameters of the analysis (JSON; those left out keep their preset)

Tables whose columns have other names or units:
  --columns time=NAME,torque=NAME,angle=NAME,velocity=NAME,index=NAME
  --scale torque=0.001    the table's numbers times this are in our unit
  --sign angle=-1         turns a column
  --rate HZ               samples a second, where there is no time column

Limits to be told about:
  --range-limits LO,HI    degrees             --torque-limit NM

How sure the numbers are, on every phase of --json: standard uncertainty by contributions, and the span
over published alternatives of the recipe:
  --uncertainty torque-scale=PCT,torque-zero=NM,angle-scale=PCT,drift=NM,weight=NM,delay=MS
                          standard uncertainties of the inputs, as far as they are known
  --plain                 leaves both out; several times faster on long files

  --json                  one JSON document (several files: an array)
  --data DIR              where recordings are kept (default ./data)
`;

export function parseAnalyzeOptions(args: readonly string[]): AnalyzeOptions {
  const { values, positionals } = parseArguments(args, OPTIONS);
  if (positionals.length === 0) {
    throw new UsageError('no file: give a table or a recording, e.g. analyze trial.csv');
  }
  const rate_Hz = positive('rate', values.rate);
  const columns = pairs('columns', values.columns, (text) => text);
  const scale = pairs('scale', values.scale, (text) => number('scale', text));
  const sign = pairs('sign', values.sign, signOf);
  return {
    files: positionals,
    isJson: values.json ?? false,
    dataFolder: values.data ?? './data',
    table: { columns, scale, sign, ...(rate_Hz === undefined ? {} : { rate_Hz }) },
    conditions: conditionsOf(values),
    recipe: values.recipe === undefined ? undefined : readRecipe(values.recipe),
    known: uncertaintyOf(values.uncertainty),
    isPlain: values.plain ?? false,
  };
}

const OPTIONS = {
  pattern: { type: 'string' },
  side: { type: 'string' },
  mode: { type: 'string' },
  speed: { type: 'string' },
  load: { type: 'string' },
  'body-mass-kg': { type: 'string' },
  rate: { type: 'string' },
  gravity: { type: 'string' },
  torque: { type: 'string' },
  recipe: { type: 'string' },
  columns: { type: 'string' },
  scale: { type: 'string' },
  sign: { type: 'string' },
  'range-limits': { type: 'string' },
  'torque-limit': { type: 'string' },
  data: { type: 'string' },
  uncertainty: { type: 'string' },
  plain: { type: 'boolean' },
  json: { type: 'boolean' },
} as const;

type Values = ReturnType<typeof parseArguments<typeof OPTIONS>>['values'];

function conditionsOf(values: Values): Conditions {
  const stated = {
    pattern: values.pattern === undefined ? undefined : patternId(values.pattern),
    side: oneOf('side', values.side, SIDES),
    mode: oneOf('mode', values.mode, MODES),
    torque: oneOf('torque', values.torque, TORQUES),
    speed_degps: positive('speed', values.speed),
    load_Nm: positive('load', values.load),
    bodyMass_kg: positive('body-mass-kg', values['body-mass-kg']),
    torqueLimit_Nm: positive('torque-limit', values['torque-limit']),
    range_deg: range('range-limits', values['range-limits']),
    gravity: gravityOf(values.gravity),
  };
  // What was not stated must be absent, not undefined: the document names what was worked out.
  return Object.fromEntries(Object.entries(stated).filter(([, value]) => value !== undefined));
}

function patternId(id: string): string {
  if (PATTERNS.some((pattern) => pattern.id === id)) return id;
  const known = PATTERNS.map((pattern) => pattern.id).join(' ');
  throw new UsageError(`--pattern ${id} is unknown: known are ${known}`);
}

function gravityOf(text: string | undefined) {
  if (text === undefined) return undefined;
  const read = readGravity(text);
  if ('problem' in read) throw new UsageError(read.problem);
  return read.gravity;
}

function oneOf<T extends string>(name: string, text: string | undefined, known: readonly T[]) {
  if (text === undefined) return undefined;
  const found = known.find((one) => one === text);
  if (found === undefined) throw new UsageError(`--${name} ${text} is not ${known.join(', ')}`);
  return found;
}

function number(name: string, text: string): number {
  const value = text.trim() === '' ? Number.NaN : Number(text);
  if (!Number.isFinite(value)) throw new UsageError(`--${name} ${text} is not a number`);
  return value;
}

function positive(name: string, text: string | undefined): number | undefined {
  if (text === undefined) return undefined;
  const value = number(name, text);
  if (value <= 0) throw new UsageError(`--${name} ${text} must be above 0`);
  return value;
}

function range(name: string, text: string | undefined): readonly [number, number] | undefined {
  if (text === undefined) return undefined;
  const [least, most, ...rest] = text.split(',').map((part) => number(name, part));
  if (least === undefined || most === undefined || rest.length > 0 || least >= most) {
    throw new UsageError(`--${name} ${text} is not LOW,HIGH`);
  }
  return [least, most];
}

function signOf(text: string): 1 | -1 {
  if (text === '1' || text === '+1') return 1;
  if (text === '-1') return -1;
  throw new UsageError(`--sign ${text} is neither 1 nor -1`);
}

/** `torque=0.001,angle=2` by quantity. */
function pairs<T>(
  name: string,
  text: string | undefined,
  read: (text: string) => T,
): Partial<Record<Quantity, T>> {
  const found: Partial<Record<Quantity, T>> = {};
  for (const part of text?.split(',') ?? []) {
    const at = part.indexOf('=');
    const quantity = QUANTITIES.find((one) => one === part.slice(0, at).trim());
    if (at < 0 || quantity === undefined) {
      throw new UsageError(`--${name} ${part} is not QUANTITY=...: ${QUANTITIES.join(', ')}`);
    }
    found[quantity] = read(part.slice(at + 1).trim());
  }
  return found;
}

const KNOWN_UNCERTAINTIES: Readonly<Record<string, keyof InputUncertainty>> = {
  'torque-scale': 'torqueScale_pct',
  'torque-zero': 'torqueZero_Nm',
  'angle-scale': 'angleScale_pct',
  drift: 'tareDrift_Nm',
  weight: 'weight_Nm',
  delay: 'delay_ms',
};

function uncertaintyOf(text: string | undefined): InputUncertainty {
  const entries = (text?.split(',') ?? []).map((part) => {
    const [name = '', value = ''] = part.split('=');
    const id = KNOWN_UNCERTAINTIES[name.trim()];
    if (id === undefined) {
      const names = Object.keys(KNOWN_UNCERTAINTIES).join(', ');
      throw new UsageError(`--uncertainty ${part} is not NAME=NUMBER: ${names}`);
    }
    return [id, Math.abs(number('uncertainty', value))] as const;
  });
  return Object.fromEntries(entries);
}

function readRecipe(path: string): unknown {
  try {
    return JSON.parse(readFileSync(path, 'utf8')) as unknown;
  } catch (error) {
    const isJson = error instanceof SyntaxError;
    throw new UsageError(`--recipe ${path}: ${isJson ? 'it is not JSON' : 'it cannot be read'}`);
  }
}
