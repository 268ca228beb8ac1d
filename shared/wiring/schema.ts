/**
 * The form of the wiring file, version 1. The texts serve three readers: the JSON Schema, the README's
 * table and the error lines. Optional fields can be added; a field is never renamed or reused.
 */
import * as v from 'valibot';
import { QUANTITIES } from './quantity.ts';

/** A second is far beyond any output stage; live, the other channels are held back by as much. */
const MAX_DELAY_MS = 1000;

/** Each text says what would do: it is the schema's description and the end of an error line. */
const words = (does: string) =>
  v.pipe(v.string(does), v.trim(), v.minLength(1, does), v.description(does));
const number = (does: string) => v.pipe(v.number(does), v.finite(does), v.description(does));
const positive = (does: string) =>
  v.pipe(v.number(does), v.finite(does), v.gtValue(0, does), v.description(does));
const delay = (does: string) =>
  v.pipe(v.number(does), v.minValue(0, does), v.maxValue(MAX_DELAY_MS, does), v.description(does));
const oneOf = <const T extends readonly (string | number)[]>(options: T, does: string) =>
  v.pipe(v.picklist(options, does), v.description(does));
const freeFields = (does: string) =>
  v.pipe(v.record(v.string(), v.unknown(), does), v.description(does));

const CHANNEL_NAME =
  "the device's name of the channel, or its number counted from 0 without the time field";

export const CHANNEL_FIELDS = {
  channel: v.pipe(
    v.union([v.string(), v.number()], CHANNEL_NAME),
    v.check((channel) => isChannelName(channel), CHANNEL_NAME),
    v.description(CHANNEL_NAME),
  ),
  quantity: oneOf(QUANTITIES, `one of ${QUANTITIES.join(', ')}`),
  name: v.optional(
    words('a name for the column; torque, angle and velocity have fixed names and need none'),
  ),
  unit: words('the unit that slope and offset lead to, e.g. Nm, deg, degps, mV'),
  slope: v.optional(number('units for one raw unit, e.g. 99.73 Nm a volt; not 0')),
  offset: v.optional(number('the reading at raw 0, in the unit, before sign is applied')),
  sign: v.optional(oneOf([1, -1], '1, or -1 to turn the direction')),
  delay_ms: v.optional(
    delay('milliseconds by which this channel comes later than the limb moves, 0 to 1000'),
  ),
  delayUncertainty_ms: v.optional(delay('standard uncertainty of delay_ms, 0 to 1000')),
  rawMin: v.optional(number('the least raw value the converter can give')),
  rawMax: v.optional(number('the largest raw value the converter can give, above rawMin')),
  calibration: v.optional(
    freeFields('the calibration record behind slope and offset, as it was saved'),
  ),
} as const;

export const WIRING_FIELDS = {
  $schema: v.optional(words('the path of wiring.schema.json, for your editor')),
  version: v.pipe(v.literal(1, 'the number 1'), v.description('the number 1')),
  station: words('the name of the station, e.g. North'),
  rate_Hz: v.optional(positive('samples a second, above 0, when the device does not say')),
  time: v.optional(
    oneOf(
      ['time_s', 'time_ms', 'time_us', 'sample'],
      'what the first field of a line is without a header: time_s, time_ms, time_us or sample',
    ),
  ),
  fields: v.optional(
    v.pipe(
      v.array(
        words('a name'),
        'names of all fields of a line without a header, the first included',
      ),
      v.description('names of all fields of a line without a header, the first included'),
    ),
  ),
  channels: v.pipe(
    v.array(v.looseObject(CHANNEL_FIELDS, 'an object'), 'a list of channels'),
    v.minLength(1, 'at least one channel'),
    v.description('a list of channels'),
  ),
  outputSettings: v.optional(
    freeFields("settings of the machine's outputs that the scale depends on, in your own fields"),
  ),
} as const;

export const wiringSchema = v.looseObject(WIRING_FIELDS);

export type Wiring = v.InferOutput<typeof wiringSchema>;
export type WiredChannel = Wiring['channels'][number];

function isChannelName(channel: string | number): boolean {
  return typeof channel === 'string' ? channel !== '' : Number.isInteger(channel) && channel >= 0;
}
