/**
 * The JSON text in which a device describes itself inside a description packet: printed and parsed here.
 *
 * { "rate_Hz": 1000, "tick_Hz": 1000000, "type": "int16",
 *   "channels": [{ "name": "torque", "unit": "V", "slope": 0.0003, "offset": 0, "min": -32768, "max": 32767 }],
 *   "notes": { "firmware": "1.2" } }
 * Left out: slope 1, offset 0, min and max the ends of the integer type, no notes. Other keys are ignored.
 */
import type { ChannelFormat, SampleType, StreamFormat } from '../block/block.ts';
import { INTEGER_RANGE, MAX_CHANNELS, SAMPLE_TYPES } from './packet-layout.ts';

/** Wider than any converter this is for; refuses a rate that would make nonsense of every time. */
const MAX_RATE_HZ = 1e6;
const MAX_TICK_HZ = 1e10;
/** Room for a sentence a note; more would be kept in every recording for nothing. */
const MAX_NOTES = 64;

export interface Description {
  readonly format: StreamFormat;
  readonly tick_Hz: number;
}

/** All channels have the type of the first. */
export function printDescription(format: StreamFormat, tick_Hz: number): string {
  const hasNotes = Object.keys(format.notes).length > 0;
  return JSON.stringify({
    rate_Hz: format.rate_Hz,
    tick_Hz,
    type: format.channels[0]?.type,
    channels: format.channels.map(({ name, unit, scale, rawMin, rawMax }) => ({
      name,
      unit: scale?.unit ?? unit,
      slope: scale?.slope,
      offset: scale?.offset,
      min: rawMin,
      max: rawMax,
    })),
    ...(hasNotes ? { notes: format.notes } : {}),
  });
}

/** What the text says, or in one sentence why it cannot be used. */
export function parseDescription(text: string): Description | string {
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch {
    return 'the description is not JSON';
  }
  if (!isRecord(value)) return 'the description is not a JSON object';
  const { rate_Hz, tick_Hz, type, channels: list, notes } = value;
  if (!isWithin(rate_Hz, MAX_RATE_HZ)) return 'rate_Hz is not a sample rate';
  if (!isWithin(tick_Hz, MAX_TICK_HZ)) return 'tick_Hz is not a clock rate';
  if (!isSampleType(type)) return 'type is none of int16, int24, float32, float64';
  if (!Array.isArray(list) || list.length < 1 || list.length > MAX_CHANNELS) {
    return `channels is not a list of 1 to ${MAX_CHANNELS}`;
  }
  const channels: ChannelFormat[] = [];
  for (const item of list) {
    const channel = parseChannel(item, type);
    if (typeof channel === 'string') return channel;
    if (channels.some(({ name }) => name === channel.name)) return `${channel.name} comes twice`;
    channels.push(channel);
  }
  return { format: { rate_Hz, channels, integrity: 'crc32', notes: parseNotes(notes) }, tick_Hz };
}

function parseChannel(item: unknown, type: SampleType): ChannelFormat | string {
  if (!isRecord(item) || typeof item['name'] !== 'string' || item['name'] === '') {
    return 'a channel has no name';
  }
  const { name, unit = '', slope, offset, min, max } = item;
  if (typeof unit !== 'string') return `the unit of ${name} is not text`;
  for (const [key, value] of Object.entries({ slope, offset, min, max })) {
    if (value !== undefined && !isNumber(value)) return `${key} of ${name} is not a number`;
  }
  if (slope === 0) return `slope of ${name} is 0`;
  const range = type === 'int16' || type === 'int24' ? INTEGER_RANGE[type] : undefined;
  const rawMin = min ?? range?.min;
  const rawMax = max ?? range?.max;
  const ends = {
    ...(isNumber(rawMin) && { rawMin }),
    ...(isNumber(rawMax) && { rawMax }),
  };
  if (slope === undefined && offset === undefined) return { name, unit, type, ...ends };
  const scale = {
    unit,
    slope: isNumber(slope) ? slope : 1,
    offset: isNumber(offset) ? offset : 0,
  };
  return { name, unit: 'counts', type, scale, ...ends };
}

function parseNotes(notes: unknown): Readonly<Record<string, string>> {
  if (!isRecord(notes)) return {};
  const texts = Object.entries(notes).slice(0, MAX_NOTES);
  return Object.fromEntries(texts.map(([key, value]) => [key, textOf(value)]));
}

function textOf(value: unknown): string {
  return typeof value === 'string' ? value : JSON.stringify(value);
}

function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function isNumber(value: unknown): value is number {
  return typeof value === 'number' && Number.isFinite(value);
}

function isWithin(value: unknown, most: number): value is number {
  return isNumber(value) && value > 0 && value <= most;
}

function isSampleType(value: unknown): value is SampleType {
  return typeof value === 'string' && Object.hasOwn(SAMPLE_TYPES, value);
}
