/**
 * What the station has to tell people: faults of the machinery and flags of the signal, newest first.
 * Nothing disappears by itself; the lists are bounded and the oldest acknowledged go first.
 */
import type { Fault } from '../shared/faults.ts';
import type { Flag } from '../shared/flags/flag.ts';
import type { StationState } from '../shared/wire/events.ts';

/** A page shows some ten; the recording keeps all. */
const MOST_FAULTS = 50;
const MOST_FLAGS = 100;

type NotedFault = StationState['faults'][number];
type NotedFlag = StationState['flags'][number];

export interface Notices {
  readonly faults: readonly NotedFault[];
  readonly flags: readonly NotedFlag[];
  addFault(fault: Fault): void;
  /** The same kind and start as one before is its end: it takes that one's place. */
  addFlag(flag: Flag): void;
  /** False when there is no such flag. */
  acknowledge(id: number): boolean;
}

export function createNotices(wallClock: () => Date): Notices {
  let faults: NotedFault[] = [];
  let flags: NotedFlag[] = [];
  let nextId = 1;

  return {
    get faults() {
      return faults;
    },
    get flags() {
      return flags;
    },
    addFault(fault) {
      const [newest, ...older] = faults;
      const isAgain = newest?.code === fault.code && newest.detail === fault.detail;
      const count = isAgain ? newest.count + fault.count : fault.count;
      const noted = { ...fault, count, time: wallClock().toISOString() };
      faults = [noted, ...(isAgain ? older : faults)].slice(0, MOST_FAULTS);
    },
    addFlag(flag) {
      const at = flags.findIndex((old) => old.kind === flag.kind && old.start_s === flag.start_s);
      const old = flags[at];
      if (old) flags = flags.with(at, { ...flag, id: old.id, acknowledged: old.acknowledged });
      else {
        flags = forget([{ ...flag, id: nextId, acknowledged: false }, ...flags]);
        nextId += 1;
      }
    },
    acknowledge(id) {
      const at = flags.findIndex((flag) => flag.id === id);
      const flag = flags[at];
      if (flag) flags = flags.with(at, { ...flag, acknowledged: true });
      return flag !== undefined;
    },
  };
}

/** The oldest acknowledged one goes; when none is, the oldest. */
function forget(flags: NotedFlag[]): NotedFlag[] {
  if (flags.length <= MOST_FLAGS) return flags;
  const acknowledged = flags.findLastIndex((flag) => flag.acknowledged);
  return flags.toSpliced(acknowledged === -1 ? flags.length - 1 : acknowledged, 1);
}
