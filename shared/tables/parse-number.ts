/**
 * Decimal numbers straight from bytes, exactly as `Number` reads them, several times faster.
 * Up to 15 digits and powers of ten to 22 are exact in doubles (Clinger 1990); others go the long way.
 */

const ZERO = 48;
const MOST_DIGITS = 15;
const EXACT_POWERS = 22;
const POWERS = Float64Array.from({ length: EXACT_POWERS + 1 }, (_, i) => Number(`1e${String(i)}`));

/** What a person or program writes for a number that is not there. */
const MISSING = new Set(['', 'nan', 'na', 'n/a', 'null', 'none', '-', 'inf', '+inf', '-inf']);

/** Set when the last field read was text that is neither a number nor a word for a missing one. */
export interface FieldState {
  isText: boolean;
}

/** The number in bytes[from, to), blanks around it allowed; NaN for a missing one. */
export function parseNumber(
  bytes: Uint8Array,
  from: number,
  to: number,
  state: FieldState,
): number {
  let first = from;
  let end = to;
  while (first < end && bytes[first] <= 32) first += 1;
  while (end > first && bytes[end - 1] <= 32) end -= 1;
  let i = first;
  const sign = bytes[i];
  if (sign === 45 || sign === 43) i += 1;
  let mantissa = 0;
  let digits = 0;
  let scale = 0;
  let seen = 0;
  let isFraction = false;
  for (; i < end; i += 1) {
    const digit = bytes[i] - ZERO;
    if (digit >= 0 && digit <= 9) {
      seen += 1;
      mantissa = mantissa * 10 + digit;
      if (mantissa !== 0) digits += 1;
      if (isFraction) scale += 1;
    } else if (bytes[i] === 46 && !isFraction) isFraction = true;
    else break;
  }
  if (i < end || seen === 0 || digits > MOST_DIGITS || scale > EXACT_POWERS) {
    return slowly(bytes, first, end, state);
  }
  const value = mantissa / POWERS[scale];
  return sign === 45 ? -value : value;
}

function slowly(bytes: Uint8Array, first: number, end: number, state: FieldState): number {
  const text = asciiText(bytes, first, end).replace(/^"(.*)"$/, '$1');
  if (MISSING.has(text.toLowerCase())) return Number.NaN;
  const value = /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i.test(text) ? Number(text) : Number.NaN;
  if (Number.isNaN(value)) state.isText = true;
  return Number.isFinite(value) ? value : Number.NaN;
}

/** Bytes as text, one character a byte; for numbers and messages. */
export function asciiText(bytes: Uint8Array, from: number, to: number): string {
  let text = '';
  for (let i = from; i < to; i += 1) text += String.fromCharCode(bytes[i]);
  return text;
}

/** Bytes as text in UTF-8; bytes that are none are taken one character each. */
export function utf8Text(bytes: Uint8Array, from: number, to: number): string {
  const escaped = Array.from(bytes.subarray(from, to), (byte) => {
    return `%${byte.toString(16).padStart(2, '0')}`;
  });
  try {
    return decodeURIComponent(escaped.join(''));
  } catch {
    return asciiText(bytes, from, to);
  }
}
