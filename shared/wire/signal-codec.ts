/**
 * Everything that an analysis goes by, in one binary answer: a page that has it computes the very same
 * numbers. Little-endian; values are the 64-bit numbers the daemon analyses, not rounded.
 *
 * | offset | type    | what                                                              |
 * |--------|---------|-------------------------------------------------------------------|
 * | 0      | u32     | bytes of the head, a multiple of 8                                |
 * | 4      | u32     | n, values a column                                                |
 * | 8      | u8[]    | head: JSON in ASCII, filled up with blanks                        |
 * | 8+head | f64[n]  | time_s, then each of `columns`; NaN is a missing sample           |
 */
import type { Conditions, Signal } from '../analysis-types.ts';
import { asciiBytes, asciiText } from '../decode/ascii.ts';
import type { Recipe } from '../recipe/recipe.ts';
import { asciiJson, viewOf } from '../record/bytes.ts';

export interface AnalysisInput {
  readonly recording: string;
  readonly signal: Signal;
  readonly conditions: Conditions;
  readonly recipe: Recipe;
}

interface Head extends Omit<AnalysisInput, 'signal'> {
  readonly rate_Hz: number;
  readonly flags: Signal['flags'];
  readonly columns: readonly Column[];
}

const COLUMNS = ['torque_Nm', 'angle_deg', 'velocity_degps'] as const;
type Column = (typeof COLUMNS)[number];
const FIXED_BYTES = 8;

export function encodeAnalysisInput(input: AnalysisInput): Uint8Array<ArrayBuffer> {
  const { signal, recording, conditions, recipe } = input;
  const { rate_Hz, flags, time_s } = signal;
  const columns = COLUMNS.filter((name) => signal[name] !== null);
  const head = asciiJson({ recording, rate_Hz, flags, columns, conditions, recipe } satisfies Head);
  const text = asciiBytes(head.padEnd(8 * Math.ceil(head.length / 8), ' '));
  const bytes = new Uint8Array(
    FIXED_BYTES + text.length + 8 * time_s.length * (1 + columns.length),
  );
  const view = viewOf(bytes);
  view.setUint32(0, text.length, true);
  view.setUint32(4, time_s.length, true);
  bytes.set(text, FIXED_BYTES);
  let at = FIXED_BYTES + text.length;
  for (const values of [time_s, ...columns.map((name) => signal[name] ?? time_s)]) {
    for (const value of values) {
      view.setFloat64(at, value, true);
      at += 8;
    }
  }
  return bytes;
}

/** Null when the bytes are not such an answer. Page and daemon are built together: the head is trusted. */
export function decodeAnalysisInput(bytes: Uint8Array): AnalysisInput | null {
  if (bytes.length < FIXED_BYTES) return null;
  const view = viewOf(bytes);
  const [headBytes, n] = [view.getUint32(0, true), view.getUint32(4, true)];
  if (FIXED_BYTES + headBytes > bytes.length) return null;
  const head = parseHead(asciiText(bytes, FIXED_BYTES, FIXED_BYTES + headBytes));
  const first = FIXED_BYTES + headBytes;
  if (head === null || first + 8 * n * (1 + head.columns.length) !== bytes.length) return null;
  const column = (k: number) =>
    Float64Array.from({ length: n }, (_, i) => view.getFloat64(first + 8 * (k * n + i), true));
  const named = (name: Column) => {
    const k = head.columns.indexOf(name);
    return k < 0 ? null : column(k + 1);
  };
  const { recording, rate_Hz, flags, conditions, recipe } = head;
  const torque_Nm = named('torque_Nm');
  if (torque_Nm === null) return null;
  const angle_deg = named('angle_deg');
  const velocity_degps = named('velocity_degps');
  const signal = { rate_Hz, flags, time_s: column(0), torque_Nm, angle_deg, velocity_degps };
  return { recording, conditions, recipe, signal };
}

function parseHead(text: string): Head | null {
  try {
    const head: unknown = JSON.parse(text);
    const isHead = typeof head === 'object' && head !== null && 'columns' in head;
    return isHead && Array.isArray(head.columns) ? (head as Head) : null;
  } catch {
    return null;
  }
}
