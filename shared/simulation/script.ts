/**
 * What is done on the simulated machine: a list of items, and the short text that names one, such as
 * `rest:2,passive:5,isokinetic:60x5,isometric:5`. How each item is played is in `play.ts`.
 */

export type ScriptItem =
  | { readonly kind: 'rest'; readonly duration_s: number }
  /** Slow movement by the machine to both ends and back, the subject relaxed. */
  | {
      readonly kind: 'passive';
      readonly speed_degps: number;
      readonly sweeps: number;
      /** The movement (from 1, each way counts) in which the subject does not let go: see `play.ts`. */
      readonly tenseMovement?: number;
    }
  /** Known masses on the bare lever, up and down on both sides, each for this long: see `masses.ts`. */
  | { readonly kind: 'masses'; readonly each_s: number }
  /** The polarity check: at rest, moved toward falling, then pushed gently that way. */
  | { readonly kind: 'polarity' }
  | {
      readonly kind: 'isokinetic';
      readonly speed_degps: number;
      readonly repetitions: number;
      /** What the muscles do while the angle falls, and while it rises. */
      readonly falling: 'concentric' | 'eccentric';
      readonly rising: 'concentric' | 'eccentric';
      /** One repetition in which the subject wants to turn back at this share of the range. */
      readonly short?: { readonly repetition: number; readonly share: number };
    }
  | { readonly kind: 'isotonic'; readonly load_Nm: number; readonly repetitions: number }
  | {
      readonly kind: 'isometric';
      readonly way: 'rising' | 'falling';
      readonly duration_s: number;
      /** Share of the greatest effort; below 1 it is a hold of submaximal torque. */
      readonly effort: number;
      /** Without it the rig's own angle. */
      readonly angle_deg?: number;
    };

/** Where a script's text leaves something out. */
export interface ScriptDefaults {
  readonly speed_degps: number;
  readonly repetitions: number;
}

const ITEM = /^([a-zA-Z]+)(?::(\d+(?:\.\d+)?))?(?:x(\d+))?$/;
/** A script is played from memory: more items than this are a mistake. */
const MOST_ITEMS = 200;

/** Items of a script by its text; a string is the one sentence that says what is wrong. */
export function parseScript(
  text: string,
  defaults: ScriptDefaults,
): readonly ScriptItem[] | string {
  const items: ScriptItem[] = [];
  for (const part of text.split(',')) {
    const [, word = '', number, times] = ITEM.exec(part.trim()) ?? [];
    const read = Object.hasOwn(READERS, word) ? READERS[word] : undefined;
    if (read === undefined) {
      return `script item "${part}" is not known: use ${Object.keys(READERS).join(', ')}, such as isokinetic:60x5`;
    }
    const value = number === undefined ? undefined : Number(number);
    const count = times === undefined ? undefined : Number(times);
    if (value === 0 || count === 0) return `script item "${part}" needs numbers above 0`;
    items.push(...read(defaults, value, count));
    if (items.length > MOST_ITEMS) return `a script has at most ${MOST_ITEMS} items`;
  }
  return items;
}

type Reader = (defaults: ScriptDefaults, value?: number, count?: number) => readonly ScriptItem[];

function isokinetic(
  falling: 'concentric' | 'eccentric',
  rising: 'concentric' | 'eccentric',
): Reader {
  return ({ speed_degps, repetitions }, value = speed_degps, count = repetitions) => [
    { kind: 'isokinetic', speed_degps: value, repetitions: count, falling, rising },
  ];
}

const READERS: Readonly<Record<string, Reader>> = {
  rest: (_, value = 5) => [{ kind: 'rest', duration_s: value }],
  passive: (_, value = 5, count = 1) => [{ kind: 'passive', speed_degps: value, sweeps: count }],
  polarity: () => [{ kind: 'polarity' }],
  masses: (_, value = 10) => [{ kind: 'masses', each_s: value }],
  tense: (_, value = 5, count = 2) => [
    { kind: 'passive', speed_degps: value, sweeps: count, tenseMovement: 2 },
  ],
  isokinetic: isokinetic('concentric', 'concentric'),
  eccentric: isokinetic('eccentric', 'eccentric'),
  conecc: isokinetic('concentric', 'eccentric'),
  isotonic: ({ repetitions }, value = 20, count = repetitions) => [
    { kind: 'isotonic', load_Nm: value, repetitions: count },
  ],
  isometric: (_, value = 5, count = 1) => efforts('falling', value, count, 1),
  isometricRising: (_, value = 5, count = 1) => efforts('rising', value, count, 1),
  hold: (_, value = 30, count = 1) => efforts('falling', 10, count, value / 100),
  cycle: (defaults) => cycle(defaults.speed_degps, defaults.repetitions),
};

function efforts(
  way: 'rising' | 'falling',
  duration_s: number,
  count: number,
  effort: number,
): readonly ScriptItem[] {
  return Array.from({ length: count }, () => ({ kind: 'isometric', way, duration_s, effort }));
}

/** A visit in small: weighing, a set, an isometric effort, and a faster set with one short repetition. */
function cycle(speed_degps: number, repetitions: number): readonly ScriptItem[] {
  const set = {
    kind: 'isokinetic',
    repetitions,
    falling: 'concentric',
    rising: 'concentric',
  } as const;
  return [
    { kind: 'rest', duration_s: 2 },
    { kind: 'passive', speed_degps: 5, sweeps: 1 },
    { ...set, speed_degps },
    { kind: 'rest', duration_s: 10 },
    { kind: 'isometric', way: 'falling', duration_s: 4, effort: 1 },
    { kind: 'rest', duration_s: 10 },
    { ...set, speed_degps: 2 * speed_degps, short: { repetition: 3, share: 0.5 } },
    { kind: 'rest', duration_s: 20 },
  ];
}
