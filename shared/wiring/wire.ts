/**
 * Fits a wiring to what a device sends: every column with its source and its one line of arithmetic.
 * What does not fit is a problem; what a person should know though it runs is a notice.
 */
import type { ChannelFormat, ChannelScale, QuantityName, StreamFormat } from '../block/block.ts';
import { unitNamed } from '../units/units.ts';
import { columnName, columnUnit, isMechanical, quantityNamed, RESERVED_NAMES } from './quantity.ts';
import type { WiredChannel, Wiring } from './schema.ts';

/** How one column comes from raw values: slope * raw + offset; unit and sign are in the two numbers. */
export interface WiredColumn {
  readonly name: QuantityName;
  readonly unit: string;
  /** The device's name of the channel, and its place among the raw columns. */
  readonly channel: string;
  readonly source: number;
  readonly slope: number;
  readonly offset: number;
  /** How much later than the limb this channel comes, and the standard uncertainty of that. */
  readonly delay_ms: number;
  readonly delayUncertainty_ms: number;
  /** The converter's ends in the column's unit, least first; null when nobody states them. */
  readonly converterEnds: readonly [number, number] | null;
}

export interface Plan {
  readonly rate_Hz: number;
  readonly columns: readonly WiredColumn[];
  /** What a person should know, one line each, e.g. that no torque is wired. */
  readonly notices: readonly string[];
}

export type Wired = { readonly plan: Plan } | { readonly problems: readonly string[] };

/** Without a wiring, channels that name their quantity and unit are taken, the rest stay raw. */
export function wire(format: StreamFormat, wiring: Wiring | null): Wired {
  if (wiring === null) return { plan: plan(format, bySelfDescription(format), []) };
  const problems: string[] = [];
  const columns: WiredColumn[] = [];
  wiring.channels.forEach((channel, k) => {
    const wired = wireChannel(format, channel);
    if (typeof wired === 'string') problems.push(`channels[${k}].${wired}`);
    else columns.push(wired);
  });
  if (problems.length > 0) return { problems };
  return { plan: plan(format, columns, rateNotices(format, wiring)) };
}

function plan(format: StreamFormat, columns: readonly WiredColumn[], notices: string[]): Plan {
  const names = format.channels.map((channel) => channel.name).join(', ');
  const hasTorque = columns.some((column) => column.name === 'torque_Nm');
  const noTorque = `no torque is wired: name it in the wiring file; the device sends ${names}`;
  return {
    rate_Hz: format.rate_Hz,
    columns,
    notices: hasTorque ? notices : [noTorque, ...notices],
  };
}

function rateNotices(format: StreamFormat, { rate_Hz }: Wiring): string[] {
  if (rate_Hz === undefined || rate_Hz === format.rate_Hz) return [];
  return [`the wiring says ${rate_Hz} Hz, the device ${format.rate_Hz} Hz; the device is followed`];
}

function bySelfDescription({ channels }: StreamFormat): WiredColumn[] {
  const columns = new Map<QuantityName, WiredColumn>();
  channels.forEach((channel, source) => {
    const { unit, slope, offset } = announcedScale(channel);
    const quantity = quantityNamed(channel.name, unit);
    const own = quantity === null ? channel.name : columnName(quantity, '', undefined);
    const name = columns.has(own) ? channel.name : own;
    if (quantity === null && RESERVED_NAMES.includes(name)) return;
    columns.set(name, {
      name,
      unit: quantity === null ? unit : columnUnit(quantity, ''),
      channel: channel.name,
      source,
      slope,
      offset,
      delay_ms: 0,
      delayUncertainty_ms: 0,
      converterEnds: ends(channel.rawMin, channel.rawMax, slope, offset),
    });
  });
  return [...columns.values()];
}

/** The column, or what is wrong, beginning with the field. */
function wireChannel(format: StreamFormat, wired: WiredChannel): WiredColumn | string {
  const { quantity, unit, name, sign = 1 } = wired;
  const source = find(format.channels, wired.channel);
  const channel = format.channels[source];
  if (channel === undefined) {
    const names = format.channels.map((each, k) => `${k} ${each.name}`).join(', ');
    return `channel is ${JSON.stringify(wired.channel)}; the device sends ${names}`;
  }
  const device = announcedScale(channel);
  const factor = wired.slope ?? conversion(device.unit, unit);
  if (factor === null) {
    const arrives = device.unit === '' ? 'without a unit' : `in ${device.unit}`;
    return `slope is missing; ${channel.name} arrives ${arrives}, give ${unit} for one raw unit`;
  }
  const slope = factor * device.slope;
  const offset = factor * device.offset + (wired.offset ?? 0);
  const toColumn = sign * (isMechanical(quantity) ? (unitNamed(unit)?.factor ?? Number.NaN) : 1);
  const scale = { slope: toColumn * slope, offset: offset === 0 ? 0 : toColumn * offset };
  return {
    name: columnName(quantity, unit, name),
    unit: columnUnit(quantity, unit),
    channel: channel.name,
    source,
    ...scale,
    delay_ms: wired.delay_ms ?? 0,
    delayUncertainty_ms: wired.delayUncertainty_ms ?? 0,
    converterEnds: ends(
      wired.rawMin ?? channel.rawMin,
      wired.rawMax ?? channel.rawMax,
      scale.slope,
      scale.offset,
    ),
  };
}

/** A number is a place counted from 0; a text is a name. */
function find(channels: readonly ChannelFormat[], wanted: string | number): number {
  return typeof wanted === 'number' ? wanted : channels.findIndex(({ name }) => name === wanted);
}

/** What a device says of itself comes before the wiring: its scaled values are what is wired. */
function announcedScale({ unit, scale }: ChannelFormat): ChannelScale {
  return scale ?? { unit, slope: 1, offset: 0 };
}

/** Units of `to` for one of `from`; null when the two do not measure the same thing. */
function conversion(from: string, to: string): number | null {
  if (from !== '' && from === to) return 1;
  const [a, b] = [unitNamed(from), unitNamed(to)];
  return a !== null && b !== null && a.dimension === b.dimension ? a.factor / b.factor : null;
}

function ends(
  rawMin: number | undefined,
  rawMax: number | undefined,
  slope: number,
  offset: number,
): readonly [number, number] | null {
  if (rawMin === undefined && rawMax === undefined) return null;
  const a = slope * (rawMin ?? -Infinity) + offset;
  const b = slope * (rawMax ?? Infinity) + offset;
  return a < b ? [a, b] : [b, a];
}
