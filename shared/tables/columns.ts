/**
 * Which column of a table is what. Names are recognised only with their unit; another unit is refused
 * with the line that would map it, never converted silently.
 */

export type Quantity = 'time' | 'torque' | 'angle' | 'velocity' | 'index';

export interface ColumnOptions {
  /** `--columns`: the table's own name of a quantity. */
  readonly columns?: Partial<Record<Quantity, string>>;
  /** `--scale`: the table's number times this gives the unit of the quantity. */
  readonly scale?: Partial<Record<Quantity, number>>;
}

/** Column number in the table of each quantity that is there. */
export type ColumnPlan = Partial<Record<Quantity, number>>;

interface Known {
  readonly names: readonly string[];
  readonly unit: string;
  /** Words that a header uses for this quantity when it does not use ours. */
  readonly words: RegExp;
  /** Other units and what a number in them must be multiplied by. */
  readonly factors: Readonly<Record<string, number>>;
}

const DEG_PER_RAD = 180 / Math.PI;

/** 1 ft lbf = 1.355818 Nm, 1 kgf m = 9.80665 Nm (NIST SP 811). */
const KNOWN: Readonly<Record<Quantity, Known>> = {
  time: {
    names: ['time_s'],
    unit: 's',
    words: /^(time|timestamp|t)$/,
    factors: { s: 1, sec: 1, ms: 0.001, us: 1e-6, min: 60, h: 3600 },
  },
  torque: {
    names: ['torque_Nm'],
    unit: 'Nm',
    words: /^(torque|moment)$/,
    factors: {
      nm: 1,
      mnm: 0.001,
      knm: 1000,
      ncm: 0.01,
      ftlb: 1.355818,
      ftlbf: 1.355818,
      lbft: 1.355818,
      lbfft: 1.355818,
      inlb: 0.112985,
      lbin: 0.112985,
      kgfm: 9.80665,
      kgm: 9.80665,
      kpm: 9.80665,
    },
  },
  angle: {
    names: ['angle_deg'],
    unit: 'deg',
    words: /^(angle|position|pos)$/,
    factors: {
      deg: 1,
      degrees: 1,
      rad: DEG_PER_RAD,
      mrad: DEG_PER_RAD / 1000,
      rev: 360,
      turn: 360,
    },
  },
  velocity: {
    names: ['velocity_deg_per_s', 'velocity_degps'],
    unit: 'deg_per_s',
    words: /^(velocity|speed|omega)$/,
    factors: {
      degps: 1,
      degpers: 1,
      degs: 1,
      radps: DEG_PER_RAD,
      radpers: DEG_PER_RAD,
      rads: DEG_PER_RAD,
      rpm: 6,
    },
  },
  index: { names: ['index', 'sample'], unit: '', words: /^(index|sample)$/, factors: {} },
};

/** The plan, or in one sentence what is missing or has the wrong unit and the option that maps it. */
export function planColumns(
  header: readonly string[],
  options: ColumnOptions,
): { readonly plan: ColumnPlan } | { readonly problem: string } {
  const plan: ColumnPlan = {};
  for (const quantity of ['time', 'torque', 'angle', 'velocity', 'index'] as const) {
    const wanted = options.columns?.[quantity];
    const column = wanted === undefined ? ours(header, quantity) : header.indexOf(wanted);
    if (wanted !== undefined && column < 0) {
      return { problem: `no column ${quote(wanted)}: the header has ${header.join(', ')}` };
    }
    if (column < 0) {
      const problem = foreign(header, quantity, options);
      if (problem !== null) return { problem };
      continue;
    }
    const problem = unitTrouble(header[column], quantity, options);
    if (problem !== null) return { problem };
    plan[quantity] = column;
  }
  return { plan };
}

function ours(header: readonly string[], quantity: Quantity): number {
  const { names } = KNOWN[quantity];
  return header.findIndex((name) => names.includes(name));
}

/** A header such as `torque_ftlb` or `Angle [rad]` that means the quantity but is not ours. */
function foreign(
  header: readonly string[],
  quantity: Quantity,
  options: ColumnOptions,
): string | null {
  const mapped = Object.values(options.columns ?? {});
  const name = header.find((candidate) => {
    if (mapped.includes(candidate)) return false;
    return KNOWN[quantity].words.test(words(candidate)[0] ?? '');
  });
  if (name === undefined || quantity === 'index') return null;
  const factor = factorOf(name, quantity);
  const scale =
    factor === 1 ? '' : ` --scale ${quantity}=${factor === null ? 'FACTOR' : print(factor)}`;
  const line = `--columns ${quantity}=${quote(name)}${scale}`;
  return `column ${quote(name)} is not ${KNOWN[quantity].names[0]}: map it with ${line}`;
}

function unitTrouble(name: string, quantity: Quantity, options: ColumnOptions): string | null {
  if (options.scale?.[quantity] !== undefined) return null;
  const factor = factorOf(name, quantity);
  if (factor === null || factor === 1) return null;
  const { unit } = KNOWN[quantity];
  return `column ${quote(name)} is not in ${unit}: add --scale ${quantity}=${print(factor)}`;
}

/** Factor of the unit that a header ends with; null when it ends with no unit we know. */
function factorOf(name: string, quantity: Quantity): number | null {
  const parts = words(name);
  for (let n = Math.min(3, parts.length - 1); n >= 1; n -= 1) {
    const factor = KNOWN[quantity].factors[parts.slice(-n).join('')];
    if (factor !== undefined) return factor;
  }
  return null;
}

function words(name: string): string[] {
  return name
    .toLowerCase()
    .split(/[^a-z0-9]+/)
    .filter((word) => word !== '');
}

function print(factor: number): string {
  return String(Number(factor.toPrecision(7)));
}

function quote(name: string): string {
  return /^[\w.+-]+$/.test(name) ? name : `"${name}"`;
}
