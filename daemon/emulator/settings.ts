/**
 * What the simulated device is asked to be, read from the words of a URL or a command line. The same
 * names serve `demo:?...` and `emulate --...`.
 */
import type { Side } from '../../shared/analysis-types.ts';
import { PERFECT, TYPICAL, type Imperfections } from '../../shared/simulation/outputs.ts';
import { RIGS, type Rig, type RigPattern } from '../../shared/simulation/rigs.ts';
import { parseScript, type ScriptItem } from '../../shared/simulation/script.ts';
import { findSubject, SUBJECTS, type SubjectModel } from '../../shared/simulation/subjects.ts';
import { UsageError } from '../cli/command.ts';

export interface DeviceSettings {
  readonly seed: number;
  readonly pattern: RigPattern;
  readonly side: Side;
  readonly subject: SubjectModel;
  readonly script: readonly ScriptItem[];
  readonly rate_Hz: number;
  readonly format: WireFormat;
  readonly imperfections: Imperfections;
}

export type WireFormat = 'lines' | 'packets';

/** The names, each with what `--help` says of it. */
export const SETTINGS = {
  pattern: `joint pattern, one of ${RIGS.map((rig) => rig.pattern).join(', ')}`,
  side: 'right or left; the left one is wired mirrored',
  subject: `one of ${SUBJECTS[0].code} to ${SUBJECTS.at(-1)?.code ?? ''}`,
  script:
    'what is done, e.g. cycle (default), isokinetic:60x5, eccentric:30x3, conecc, isotonic:20x8, ' +
    'isometric:5x3 (seconds), isometricRising:5, hold:30 (percent), passive:5, tense:5, polarity, masses:10, ' +
    'rest:10; ' +
    'several with commas',
  speed: 'degrees a second where the script names none; 60',
  repetitions: 'repetitions of a set where the script names none; 5',
  rate: 'samples a second, 50 to 10000; 1000',
  noise: 'typical, or none: physics and the converter alone',
  seed: 'any whole number; the same one gives the same samples; 1',
  format: 'lines or packets',
} as const;

type Words = Readonly<Partial<Record<string, string>>>;

const LEAST_RATE_HZ = 50;
const MOST_RATE_HZ = 10_000;

/** Throws a UsageError with one sentence for a word that cannot be used. */
export function readSettings(words: Words): DeviceSettings {
  for (const name of Object.keys(words)) {
    if (!Object.hasOwn(SETTINGS, name)) {
      throw new UsageError(`${name} is not an option: use ${Object.keys(SETTINGS).join(', ')}`);
    }
  }
  const rig = readRig(words['pattern']);
  const speed_degps = readNumber('speed', words['speed'], { least: 1, most: 500, otherwise: 60 });
  const repetitions = readWhole('repetitions', words['repetitions'], {
    least: 1,
    most: 1000,
    otherwise: 5,
  });
  const script = parseScript(words['script'] ?? 'cycle', { speed_degps, repetitions });
  if (typeof script === 'string') throw new UsageError(script);
  return {
    seed: readWhole('seed', words['seed'], { least: 0, most: 2 ** 31 - 1, otherwise: 1 }),
    pattern: rig.pattern,
    side: readChoice('side', words['side'], ['right', 'left']),
    subject: readSubject(words['subject']),
    script,
    rate_Hz: readNumber('rate', words['rate'], {
      least: LEAST_RATE_HZ,
      most: MOST_RATE_HZ,
      otherwise: 1000,
    }),
    format: readChoice('format', words['format'], ['packets', 'lines']),
    imperfections:
      readChoice('noise', words['noise'], ['typical', 'none']) === 'none' ? PERFECT : TYPICAL,
  };
}

/** Without a word it is the ankle, the first rig. */
function readRig(word: string | undefined): Rig & { readonly pattern: RigPattern } {
  if (word === undefined) return RIGS[0];
  const rig = RIGS.find(({ pattern, joint }) => pattern === word || joint === word);
  if (rig) return rig;
  const known = RIGS.map(({ pattern }) => pattern).join(', ');
  throw new UsageError(`pattern ${word} cannot be simulated: use ${known}`);
}

function readSubject(word: string | undefined): SubjectModel {
  const subject = findSubject(word ?? 'SH-03');
  if (subject) return subject;
  const known = SUBJECTS.map(({ code }) => code).join(', ');
  throw new UsageError(`subject ${word ?? ''} is not known: use ${known}`);
}

interface Bounds {
  readonly least: number;
  readonly most: number;
  readonly otherwise: number;
}

/** The number that a word says, or `otherwise` when there is no word. */
export function readNumber(
  name: string,
  word: string | undefined,
  { least, most, otherwise }: Bounds,
): number {
  if (word === undefined) return otherwise;
  const value = word.trim() === '' ? NaN : Number(word);
  if (value >= least && value <= most) return value;
  throw new UsageError(`${name} ${word} cannot be used: give a number from ${least} to ${most}`);
}

function readWhole(name: string, word: string | undefined, bounds: Bounds): number {
  const value = readNumber(name, word, bounds);
  if (Number.isInteger(value)) return value;
  throw new UsageError(`${name} ${value} cannot be used: give a whole number`);
}

/** The first choice stands when there is no word. */
function readChoice<const T extends string>(
  name: string,
  word: string | undefined,
  choices: readonly [T, ...T[]],
): T {
  const choice = word === undefined ? choices[0] : choices.find((each) => each === word);
  if (choice !== undefined) return choice;
  throw new UsageError(`${name} ${word ?? ''} cannot be used: use ${choices.join(' or ')}`);
}
