/**
 * Units by their spellings, and their size in the product's own units: Nm, deg, degps, kg, N, V.
 * An unknown unit is null, never a guess; decimal prefixes are listed, not parsed.
 */

export type Dimension = 'torque' | 'angle' | 'velocity' | 'mass' | 'force' | 'voltage' | 'time';

export interface Unit {
  /** The way it is written in names: `Nm`, `degps`. */
  readonly symbol: string;
  readonly dimension: Dimension;
  /** Multiply by this to get the dimension's own unit. */
  readonly factor: number;
}

const DEG_PER_RAD = 180 / Math.PI;
/** Exact: 0.3048 m by 4.4482216152605 N, the international foot and pound-force (NIST SP 811 app. B, from memory). */
const NM_PER_FTLB = 0.3048 * 4.4482216152605;
/** Standard gravity, exact (NIST SP 811 app. B, from memory). */
const STANDARD_GRAVITY_MPS2 = 9.80665;

const SPELLINGS: readonly (readonly [Unit, ...string[]])[] = [
  [{ symbol: 'Nm', dimension: 'torque', factor: 1 }, 'N.m', 'N·m', 'N*m', 'N m', 'newton metre'],
  [{ symbol: 'mNm', dimension: 'torque', factor: 1e-3 }, 'mN.m', 'mN·m'],
  [{ symbol: 'Ncm', dimension: 'torque', factor: 1e-2 }, 'N.cm', 'N·cm'],
  [
    { symbol: 'ftlb', dimension: 'torque', factor: NM_PER_FTLB },
    'ft.lbf',
    'ft·lbf',
    'ft-lb',
    'ftlbf',
    'lbf.ft',
  ],
  [{ symbol: 'inlb', dimension: 'torque', factor: NM_PER_FTLB / 12 }, 'in.lbf', 'in-lb', 'inlbf'],
  [{ symbol: 'kgfm', dimension: 'torque', factor: STANDARD_GRAVITY_MPS2 }, 'kgf.m', 'kgf·m', 'kpm'],
  [{ symbol: 'deg', dimension: 'angle', factor: 1 }, '°', 'degree', 'degrees'],
  [{ symbol: 'rad', dimension: 'angle', factor: DEG_PER_RAD }, 'radian', 'radians'],
  [{ symbol: 'rev', dimension: 'angle', factor: 360 }, 'turn', 'turns'],
  [{ symbol: 'degps', dimension: 'velocity', factor: 1 }, 'deg/s', '°/s', 'deg_per_s'],
  [{ symbol: 'radps', dimension: 'velocity', factor: DEG_PER_RAD }, 'rad/s', 'rad_per_s'],
  [{ symbol: 'rpm', dimension: 'velocity', factor: 6 }, 'rev/min', '1/min'],
  [{ symbol: 'kg', dimension: 'mass', factor: 1 }],
  [{ symbol: 'lb', dimension: 'mass', factor: 0.45359237 }, 'lbs'],
  [{ symbol: 'N', dimension: 'force', factor: 1 }, 'newton'],
  [{ symbol: 'kgf', dimension: 'force', factor: STANDARD_GRAVITY_MPS2 }, 'kp'],
  [{ symbol: 'lbf', dimension: 'force', factor: 4.4482216152605 }],
  [{ symbol: 'V', dimension: 'voltage', factor: 1 }, 'volt', 'volts'],
  [{ symbol: 'mV', dimension: 'voltage', factor: 1e-3 }],
  [{ symbol: 'uV', dimension: 'voltage', factor: 1e-6 }, 'µV', 'μV'],
  [{ symbol: 's', dimension: 'time', factor: 1 }, 'sec', 'second', 'seconds'],
  [{ symbol: 'ms', dimension: 'time', factor: 1e-3 }],
  [{ symbol: 'us', dimension: 'time', factor: 1e-6 }, 'µs', 'μs'],
];

const UNITS: ReadonlyMap<string, Unit> = new Map(
  SPELLINGS.flatMap(([unit, ...others]) =>
    [unit.symbol, ...others].map((spelling): [string, Unit] => [spelling, unit]),
  ),
);

/** Case counts, because mN and MN differ; blanks around the text do not. */
export function unitNamed(text: string): Unit | null {
  return UNITS.get(text.trim()) ?? null;
}

/** Symbols that can be written for a dimension, the product's own first. */
export function unitsOf(dimension: Dimension): string[] {
  const units = new Set([...UNITS.values()].filter((unit) => unit.dimension === dimension));
  return [...units].map((unit) => unit.symbol);
}
