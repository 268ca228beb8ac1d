/** What a recording's channels mean: the wiring of its start document fitted to what was recorded. */
import type { StreamFormat } from '../../shared/block/block.ts';
import type { StartDocument } from '../../shared/record/documents.ts';
import { wire, type Wired } from '../../shared/wiring/wire.ts';
import { parseWiring } from '../../shared/wiring/wiring.ts';

/** slope * raw + offset is in `unit`. */
export interface RecordedColumn {
  readonly name: string;
  readonly unit: string;
  /** Place among the channels. */
  readonly source: number;
  readonly slope: number;
  readonly offset: number;
}

/** The wiring fitted to a stream file's format; without a start document as if there were none. */
export function wiredAs(start: StartDocument | null, format: StreamFormat): Wired {
  if (start === null || start.wiring === null) return wire(format, null);
  const parsed = parseWiring(start.wiring);
  return 'problems' in parsed ? parsed : wire(format, parsed.wiring);
}

/** The calibrated columns, then every channel as it came under the device's own name. */
export function columnsOf(start: StartDocument | null, format: StreamFormat): RecordedColumn[] {
  const wired = wiredAs(start, format);
  const calibrated = 'plan' in wired ? wired.plan.columns : [];
  const raw = format.channels.map(({ name, unit }, source) => {
    return { name, unit, source, slope: 1, offset: 0 };
  });
  return [...calibrated, ...raw];
}
