/** A recipe as lines to read: every parameter by its own name, as code, files and exports call it. */
import { number } from './format.ts';
import { isRecord } from './message.ts';

export interface RecipeLine {
  readonly name: string;
  readonly value: string;
  readonly unit: string;
}

export const UNITS: Readonly<Record<string, string>> = {
  Hz: 'Hz',
  s: 's',
  ms: 'ms',
  deg: '°',
  degps: '°/s',
  Nm: 'N·m',
  Nmps: 'N·m/s',
  pct: '%',
  kg: 'kg',
  kgm2: 'kg·m²',
  J: 'J',
  W: 'W',
  Nms: 'N·m·s',
};

/** Nested groups are flattened; null is left out: it means that the rule is not used. */
export function recipeLines(recipe: Readonly<Record<string, unknown>>): readonly RecipeLine[] {
  return Object.entries(recipe).flatMap(([key, value]): readonly RecipeLine[] => {
    if (isRecord(value)) return recipeLines(value);
    const [name = key, suffix = ''] = splitUnit(key);
    if (typeof value === 'number') {
      const digits = Number.isInteger(value) ? 0 : 3;
      return [{ name, value: trimmed(number(value, digits)), unit: UNITS[suffix] ?? '' }];
    }
    if (typeof value === 'string') return [{ name, value, unit: '' }];
    if (typeof value === 'boolean') return [{ name, value: String(value), unit: '' }];
    if (Array.isArray(value)) return [{ name, value: value.join(', '), unit: UNITS[suffix] ?? '' }];
    return [];
  });
}

/** Own name in words and the unit's suffix: `peakTorque_Nm` is `peak torque` in `Nm`. */
export function splitUnit(key: string): readonly [string, string] {
  const at = key.lastIndexOf('_');
  const suffix = key.slice(at + 1);
  const base = at > 0 && suffix in UNITS ? key.slice(0, at) : key;
  const words = base
    .replace(/_/g, ' ')
    .replace(/([a-z])([A-Z])/g, '$1 $2')
    .toLowerCase();
  return [words, at > 0 ? suffix : ''];
}

function trimmed(text: string): string {
  return text.includes('.') ? text.replace(/\.?0+$/, '') : text;
}
