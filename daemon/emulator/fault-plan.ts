/**
 * `--fault`: how the simulated device and its cable misbehave, read from a list such as
 * `corrupt=0.001,drop=0.002,burst=16ms,silence=5s@20s`. Times are the device's own.
 */
import { UsageError } from '../cli/command.ts';

export interface FaultPlan {
  /** Chances for each frame: a bit turned, left out, sent twice, junk bytes before it. */
  readonly corrupt: number;
  readonly drop: number;
  readonly duplicate: number;
  readonly junk: number;
  /** Chance for each torque sample of an electrical spike. */
  readonly spike: number;
  /** How much later than the angle the torque comes. */
  readonly torqueDelay_s: number;
  /** What is due is gathered this long before it is written; 0 writes as it comes. */
  readonly burst_s: number;
  /** How much faster the device's clock runs than real time, parts per million. */
  readonly ppm: number;
  /** In order of time. */
  readonly events: readonly FaultEvent[];
}

export type FaultEvent = { readonly at_s: number } & (
  | { readonly kind: 'silence' | 'close'; readonly duration_s: number }
  | { readonly kind: 'restart' }
  | { readonly kind: 'rate'; readonly rate_Hz: number }
  | { readonly kind: 'channels'; readonly nChannels: number }
);

/** For `--help` and README: each fault, what it takes, and what it does. */
export const FAULTS = [
  ['corrupt=CHANCE', 'turns one bit of a frame'],
  ['drop=CHANCE', 'leaves a frame out'],
  ['duplicate=CHANCE', 'sends a frame twice'],
  ['junk=CHANCE', 'puts 1 to 64 bytes of rubbish before a frame'],
  ['spike=CHANCE', 'adds an electrical spike of 1 to 5 V to a torque sample'],
  ['delay=TIME', 'lets the torque output come so much later than the angle: delay=20ms'],
  ['burst=TIME', 'gathers what is due and writes it at once, as a USB adapter does: burst=16ms'],
  ['ppm=NUMBER', "runs the device's clock faster by parts per million (negative: slower)"],
  ['silence=TIME@TIME', 'sends nothing for so long, from then on: silence=5s@20s'],
  ['close=TIME@TIME', 'closes the connection for so long, from then on'],
  ['restart@TIME', 'starts the sample counter again from 0'],
  ['rate=HZ@TIME', 'changes the sample rate to a whole fraction of --rate'],
  ['channels=NUMBER@TIME', 'sends only the first channels from then on'],
] as const;

const ITEM = /^([a-z]+)(?:=([^@]+))?(?:@(.+))?$/;
const CHANCES = ['corrupt', 'drop', 'duplicate', 'junk', 'spike'] as const;
/** Quartz oscillators of microcontrollers are within 100 ppm, ceramic ones within 5000. */
const MOST_PPM = 10_000;
const MOST_BURST_S = 1;
/** Filters of analog outputs lag by tens of milliseconds. */
const MOST_DELAY_S = 0.5;
const N_CHANNELS = 4;

export const NO_FAULTS: FaultPlan = {
  corrupt: 0,
  drop: 0,
  duplicate: 0,
  junk: 0,
  spike: 0,
  torqueDelay_s: 0,
  burst_s: 0,
  ppm: 0,
  events: [],
};

/** Throws a UsageError with one sentence for an item that cannot be used. */
export function parseFaults(text: string, rate_Hz: number): FaultPlan {
  let plan = NO_FAULTS;
  const events: FaultEvent[] = [];
  for (const item of text.split(',')) {
    const [, name = '', value, at] = ITEM.exec(item.trim()) ?? [];
    const chance = CHANCES.find((each) => each === name);
    if (chance !== undefined && at === undefined) {
      plan = { ...plan, [chance]: number(item, value, 0, 1) };
    } else if (name === 'burst' && at === undefined) {
      plan = { ...plan, burst_s: time_s(item, value, MOST_BURST_S) };
    } else if (name === 'delay' && at === undefined) {
      plan = { ...plan, torqueDelay_s: time_s(item, value, MOST_DELAY_S) };
    } else if (name === 'ppm' && at === undefined) {
      plan = { ...plan, ppm: number(item, value, -MOST_PPM, MOST_PPM) };
    } else events.push(readEvent(item, name, value, at, rate_Hz));
  }
  return { ...plan, events: events.sort((a, b) => a.at_s - b.at_s) };
}

function readEvent(
  item: string,
  name: string,
  value: string | undefined,
  at: string | undefined,
  rate_Hz: number,
): FaultEvent {
  if (at === undefined) throw unusable(item);
  const at_s = time_s(item, at, Infinity);
  switch (name) {
    case 'silence':
    case 'close':
      return { kind: name, at_s, duration_s: time_s(item, value, Infinity) };
    case 'restart':
      if (value !== undefined) throw unusable(item);
      return { kind: 'restart', at_s };
    case 'rate': {
      const next_Hz = number(item, value, 1, rate_Hz);
      if (Number.isInteger(rate_Hz / next_Hz)) return { kind: 'rate', at_s, rate_Hz: next_Hz };
      throw new UsageError(`fault ${item}: ${rate_Hz} Hz divided by it must be a whole number`);
    }
    case 'channels':
      return { kind: 'channels', at_s, nChannels: Math.round(number(item, value, 1, N_CHANNELS)) };
    default:
      throw unusable(item);
  }
}

function number(item: string, text: string | undefined, least: number, most: number): number {
  const value = text === undefined || text.trim() === '' ? NaN : Number(text);
  if (value >= least && value <= most) return value;
  throw new UsageError(`fault ${item}: give a number from ${least} to ${most}`);
}

/** `16ms`, `5s`, or a bare number of seconds. */
function time_s(item: string, text: string | undefined, most: number): number {
  const [, digits = '', unit] = /^(\d+(?:\.\d+)?)(ms|s)?$/.exec(text ?? '') ?? [];
  const seconds = digits === '' ? NaN : Number(digits) * (unit === 'ms' ? 1e-3 : 1);
  if (seconds <= most) return seconds;
  throw new UsageError(`fault ${item}: give a time such as 16ms or 5s`);
}

function unusable(item: string): UsageError {
  const forms = FAULTS.map(([form]) => form).join(', ');
  return new UsageError(`fault ${item} is not known: use ${forms}`);
}
