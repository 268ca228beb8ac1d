/** What `emulate` is asked for on its command line, and the text of its `--help`. */
import { parseArguments, UsageError } from '../cli/command.ts';
import { FAULTS, NO_FAULTS, parseFaults, type FaultPlan } from './fault-plan.ts';
import { readNumber, readSettings, SETTINGS, type DeviceSettings } from './settings.ts';
import { WIRES, type WireUrl } from './wires/index.ts';

export interface EmulateOptions {
  /** Null when only tables are written. */
  readonly url: EmulatorUrl | null;
  readonly settings: DeviceSettings;
  readonly plan: FaultPlan;
  readonly speedFactor: number;
  /** Seconds of the device's time; null until a signal or the end of the script. */
  readonly duration_s: number | null;
  readonly isPlayedOnce: boolean;
  readonly files: EmulatorFiles;
  readonly isJson: boolean;
}

export interface EmulatorFiles {
  readonly out?: string | undefined;
  readonly truth?: string | undefined;
  readonly wiring?: string | undefined;
}

export interface EmulatorUrl extends WireUrl {
  readonly id: string;
}

const URL_FORM = WIRES[1].form;

export const EMULATE_USAGE = `
Usage: emulate URL [options]
       emulate --out TABLE.csv [options]

The demo's subject and machine behind a wire. URL is one of
${WIRES.map((wire) => `  ${wire.form}`).join('\n')}
tcp and ws listen, for any number of clients, and begin with the first one. Port 0 takes a free one.

${table(Object.entries(SETTINGS).map(([name, about]) => [`--${name}`, about]))}

${table([
  ['--speed-factor', 'multiple of real pace; 0 as fast as the far end takes it; 1'],
  ['--duration', "seconds of the device's time; without it until Ctrl-C"],
  ['--once', 'plays the script once, then ends (always so with --out alone)'],
  ['--out FILE', 'writes the samples as a plain table: time_s,torque_Nm,angle_deg'],
  ['--truth FILE', 'writes samples and truth side by side: muscle torque, true angle, ...'],
  ['--wiring FILE', 'writes the wiring file that goes with it'],
  ['--json', 'prints one document with exact counts when done'],
  ['--fault LIST', 'misbehaves; the list takes, with commas between'],
])}
${table(
  FAULTS.map(([form, about]) => [form, about]),
  6,
)}

What describes the device can stand in the URL as well: ${URL_FORM}&pattern=knee
`;

const SETTING_OPTIONS = {
  pattern: { type: 'string' },
  side: { type: 'string' },
  subject: { type: 'string' },
  script: { type: 'string' },
  speed: { type: 'string' },
  repetitions: { type: 'string' },
  rate: { type: 'string' },
  noise: { type: 'string' },
  seed: { type: 'string' },
  format: { type: 'string' },
} as const satisfies Record<keyof typeof SETTINGS, { readonly type: 'string' }>;

/** Throws a UsageError with one sentence for what cannot be used. */
export function parseEmulateOptions(args: readonly string[]): EmulateOptions {
  const { values, positionals } = parseArguments(args, {
    ...SETTING_OPTIONS,
    'speed-factor': { type: 'string' },
    duration: { type: 'string' },
    once: { type: 'boolean', default: false },
    out: { type: 'string' },
    truth: { type: 'string' },
    wiring: { type: 'string' },
    fault: { type: 'string' },
    json: { type: 'boolean', default: false },
  });
  const [text, surplus] = positionals;
  if (surplus !== undefined)
    throw new UsageError(`${surplus} is not an option; see emulate --help`);
  if (text === undefined && values.out === undefined) {
    throw new UsageError(`no URL: give one such as ${URL_FORM}, or --out TABLE.csv`);
  }
  const url = text === undefined ? null : parseUrl(text);
  const settings = readSettings({ ...wordsOf(url), ...settingsOf(values) });
  const duration_s =
    values.duration === undefined
      ? null
      : readNumber('duration', values.duration, { least: 0, most: 1e7, otherwise: 0 });
  return {
    url,
    settings,
    plan: values.fault === undefined ? NO_FAULTS : parseFaults(values.fault, settings.rate_Hz),
    speedFactor: readNumber('speed-factor', values['speed-factor'], {
      least: 0,
      most: 1000,
      otherwise: 1,
    }),
    duration_s,
    isPlayedOnce: values.once || (url === null && duration_s === null),
    files: { out: values.out, truth: values.truth, wiring: values.wiring },
    isJson: values.json,
  };
}

/** `serial:/dev/pts/5?baud=921600&format=lines`; the words after `?` are options. */
function parseUrl(text: string): EmulatorUrl {
  const [, id, target = '', query = ''] = /^([a-z]+):(?:\/\/)?([^?]*)(?:\?(.*))?$/.exec(text) ?? [];
  if (id === undefined) throw new UsageError(`${text} is no URL: write ${URL_FORM}`);
  return { id, text, target, options: Object.fromEntries(new URLSearchParams(query)) };
}

/** `baud` belongs to the line and not to the device. */
function wordsOf(url: EmulatorUrl | null): Readonly<Record<string, string>> {
  return Object.fromEntries(Object.entries(url?.options ?? {}).filter(([name]) => name !== 'baud'));
}

function settingsOf(values: Readonly<Record<string, string | boolean | undefined>>) {
  const settings: Record<string, string> = {};
  for (const name of Object.keys(SETTINGS)) {
    const value = values[name];
    if (typeof value === 'string') settings[name] = value;
  }
  return settings;
}

function table(rows: readonly (readonly [string, string])[], indent = 2): string {
  const width = Math.max(...rows.map(([name]) => name.length));
  const line = ([name, about]: readonly [string, string]) =>
    `${' '.repeat(indent)}${name.padEnd(width)}  ${about}`;
  return rows.map(line).join('\n');
}
