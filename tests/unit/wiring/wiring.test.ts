/** Every wrong file gets a line that says where, what and what would do; the right one is kept whole. */
import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { wiringJsonSchema } from '../../../shared/wiring/json-schema.ts';
import { wiringMarkdown } from '../../../shared/wiring/markdown.ts';
import { CHANNEL_FIELDS, WIRING_FIELDS } from '../../../shared/wiring/schema.ts';
import { decoderHints, parseWiring } from '../../../shared/wiring/wiring.ts';

const torque = { channel: 'ai0', quantity: 'torque', unit: 'Nm', slope: 99.73, offset: -1.34 };

function file(channel: object, more: object = {}): object {
  return { version: 1, station: 'North', channels: [channel], ...more };
}

function problemsOf(input: unknown): readonly string[] {
  const parsed = parseWiring(input);
  return 'problems' in parsed ? parsed.problems : [];
}

test('a right file is kept with the fields of the site', () => {
  const wiring = file(
    {
      ...torque,
      sign: -1,
      delay_ms: 20,
      delayUncertainty_ms: 2,
      calibration: { date: '2026-10-01' },
    },
    {
      $schema: 'wiring.schema.json',
      rate_Hz: 1000,
      outputSettings: { gain: 'low' },
      x_room: 'cellar',
    },
  );
  expect(parseWiring(wiring)).toEqual({ wiring });
});

test.each([
  [[], 'the file holds []; it must hold one JSON object'],
  [null, 'the file holds null; it must hold one JSON object'],
  [
    { version: 1, channels: [torque] },
    'station is missing; give the name of the station, e.g. North',
  ],
  [file(torque, { version: 2 }), 'version is 2; give the number 1'],
  [
    file(torque, { rate_Hz: 0 }),
    'rate_Hz is 0; give samples a second, above 0, when the device does not say',
  ],
  [file(torque, { channels: [] }), 'channels is []; give at least one channel'],
  [file(torque, { channels: [3] }), 'channels[0] is 3; give an object'],
  [
    file({ ...torque, channel: -1 }),
    "channels[0].channel is -1; give the device's name of the channel, or its number counted from 0 without the time field",
  ],
  [
    file({ quantity: 'torque', unit: 'Nm' }),
    "channels[0].channel is missing; give the device's name of the channel, or its number counted from 0 without the time field",
  ],
  [
    file({ ...torque, quantity: 'tork' }),
    'channels[0].quantity is "tork"; give one of torque, angle, velocity, trigger, emg, force, other',
  ],
  [
    file({ ...torque, slope: '99.73' }),
    'channels[0].slope is "99.73"; give units for one raw unit, e.g. 99.73 Nm a volt; not 0',
  ],
  [
    file({ ...torque, slope: JSON.parse('1e999') as unknown }),
    'channels[0].slope is Infinity; give units for one raw unit, e.g. 99.73 Nm a volt; not 0',
  ],
  [
    file({ ...torque, slope: 0 }),
    'channels[0].slope is 0; give units for one raw unit, and sign to turn it',
  ],
  [file({ ...torque, sign: 0 }), 'channels[0].sign is 0; give 1, or -1 to turn the direction'],
  [
    file({ ...torque, delay_ms: -5 }),
    'channels[0].delay_ms is -5; give milliseconds by which this channel comes later than the limb moves, 0 to 1000',
  ],
  [
    file({ ...torque, rawMin: 10, rawMax: -10 }),
    'channels[0].rawMax is -10; give a number above rawMin, 10',
  ],
  [
    file({ ...torque, unit: 'V' }),
    'channels[0].unit is "V"; give one of Nm, mNm, Ncm, ftlb, inlb, kgfm for torque',
  ],
  [file({ ...torque, slop: 2 }), 'channels[0].slop is not a field; did you mean slope?'],
  [file({ ...torque, Sign: 1 }), 'channels[0].Sign is not a field; did you mean sign?'],
  [file(torque, { operator: 'x' }), 'operator is not a field; begin your own fields with x_'],
  [file(torque, { constructor: 1 }), 'constructor is not a field; begin your own fields with x_'],
  [
    file({ channel: 1, quantity: 'other', unit: 'V', name: 'torqueLive_Nm' }),
    'channels[0].name is "torqueLive_Nm"; that column is computed, give another name',
  ],
  [
    file(torque, { channels: [torque, { ...torque, channel: 1 }] }),
    'channels[1].quantity makes a second column torque_Nm; channels[0] is already that one',
  ],
  [
    file(torque, {
      channels: [
        { channel: 0, quantity: 'emg', unit: 'mV' },
        { channel: 1, quantity: 'emg', unit: 'mV' },
      ],
    }),
    'channels[1].name makes a second column emg_mV; channels[0] is already that one',
  ],
])('%j', (input, problem) => {
  expect(problemsOf(input)).toEqual([problem]);
});

test('all that is wrong is told at once, at most twenty lines, none longer than 160 characters', () => {
  const channels = Array.from({ length: 30 }, () => ({
    channel: 'x'.repeat(500),
    sign: 'y'.repeat(500),
  }));
  const problems = problemsOf({ version: 1, station: 'North', channels });
  expect(problems).toHaveLength(20);
  expect(Math.max(...problems.map((line) => line.length))).toBeLessThan(160);
});

test('a prototype key in the file is inert', () => {
  const input: unknown = JSON.parse(`{"version":1,"station":"North","__proto__":{"rate_Hz":5},
    "channels":[{"channel":0,"quantity":"torque","unit":"Nm","slope":1}]}`);
  expect(problemsOf(input)).toEqual(['__proto__ is not a field; begin your own fields with x_']);
  expect(Object.hasOwn({}, 'rate_Hz')).toBe(false);
});

test('what a stream of lines does not say is handed to the decoder', () => {
  const parsed = parseWiring(
    file(torque, { rate_Hz: 500, time: 'time_ms', fields: ['time_ms', 'ai0', 'ai1'] }),
  );
  expect('wiring' in parsed && decoderHints(parsed.wiring)).toEqual({
    rate_Hz: 500,
    time: 'time_ms',
    names: ['time_ms', 'ai0', 'ai1'],
  });
});

test('the published JSON Schema is fresh (else run: npm run docs)', () => {
  const path = new URL('../../../shared/wiring/wiring.schema.json', import.meta.url);
  expect(JSON.parse(readFileSync(path, 'utf8'))).toEqual(wiringJsonSchema());
});

test("the README's tables have a row and a text for every field", () => {
  const rows = wiringMarkdown().match(/^\| `[\w$]+` \| (yes)? \| \S.+ \|$/gm) ?? [];
  expect(rows).toHaveLength(Object.keys(WIRING_FIELDS).length + Object.keys(CHANNEL_FIELDS).length);
});
