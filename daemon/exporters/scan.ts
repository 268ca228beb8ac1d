/** What an export must know of all samples before it writes the first: extent, ends, holes, trigger edges. */
import type { StreamFormat } from '../../shared/block/block.ts';
import { findTriggers, LEAST_SPAN_SHARE, type TriggerEdge } from '../../shared/markers/trigger.ts';
import { parseWiring } from '../../shared/wiring/wiring.ts';
import { readSamples } from '../store/read-blocks.ts';
import type { Recording } from '../store/recording.ts';
import type { ExportHole } from './index.ts';

/** Holes that are listed one by one; a recording with more is a list of holes. */
const MOST_HOLES = 10_000;

export interface Scan {
  /** One past the last sample's index in the stream. */
  readonly end: number;
  /** Least and largest raw value of each channel; Infinity and -Infinity without one. */
  readonly least: readonly number[];
  readonly most: readonly number[];
  /** Counted from `first`. */
  readonly holes: readonly ExportHole[];
  readonly triggers: readonly TriggerEdge[];
}

/** `first` is the stream index that counts as 0. */
export function scan(recording: Recording, format: StreamFormat, first: number): Scan {
  const { files, stop } = recording;
  const least = format.channels.map(() => Infinity);
  const most = format.channels.map(() => -Infinity);
  const holes: ExportHole[] = [];
  let end = first;
  for (const block of readSamples(files)) {
    if (block.index > end && holes.length < MOST_HOLES) {
      holes.push({ first: end - first, end: block.index - first });
    }
    end = block.index + block.n;
    block.columns.forEach((column, c) => {
      let [low, high] = [least[c] ?? Infinity, most[c] ?? -Infinity];
      for (let i = 0; i < block.n; i += 1) {
        const value = column[i] ?? Number.NaN;
        if (value < low) low = value;
        if (value > high) high = value;
      }
      least[c] = low;
      most[c] = high;
    });
  }
  const last = stop?.endIndex ?? end;
  if (last > end) holes.push({ first: end - first, end: last - first });
  const triggers = triggerChannels(recording, format).flatMap((c) => {
    const [low = 0, high = 0] = [least[c], most[c]];
    const { rawMin = low, rawMax = high } = format.channels[c] ?? {};
    const isPulsed = high > low && high - low >= LEAST_SPAN_SHARE * (rawMax - rawMin);
    return isPulsed ? edgesOf(recording, c, { low, high, first }) : [];
  });
  return { end: Math.max(last, end), least, most, holes, triggers };
}

function edgesOf(
  { files }: Recording,
  channel: number,
  { low, high, first }: { low: number; high: number; first: number },
): TriggerEdge[] {
  const finder = findTriggers(low, high);
  const edges: TriggerEdge[] = [];
  for (const { index, n, columns } of readSamples(files)) {
    edges.push(...finder.push(index - first, columns[channel] ?? [], n));
  }
  return edges;
}

/** Places of the channels that the wiring calls a trigger. */
function triggerChannels({ start }: Recording, { channels }: StreamFormat): number[] {
  const parsed = start?.wiring ? parseWiring(start.wiring) : null;
  if (parsed === null || 'problems' in parsed) return [];
  return parsed.wiring.channels.flatMap(({ quantity, channel }) => {
    if (quantity !== 'trigger') return [];
    const place =
      typeof channel === 'number' ? channel : channels.findIndex(({ name }) => name === channel);
    return place >= 0 && place < channels.length ? [place] : [];
  });
}
