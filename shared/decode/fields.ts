/**
 * Reads the fields of one line of text as numbers, byte by byte, exactly as `Number` would.
 * Strict: anything else than numbers and separators makes the whole line unreadable, nothing is guessed.
 */
import { asciiText } from './ascii.ts';

const TAB = 0x09;
const NEWLINE = 0x0a;
const RETURN = 0x0d;
const BLANK = 0x20;
const COMMA = 0x2c;
const SEMICOLON = 0x3b;
const PLUS = 0x2b;
const MINUS = 0x2d;
const POINT = 0x2e;
const ZERO = 0x30;
const NINE = 0x39;
/** Sets the bit that tells small letters from capitals. */
const SMALL = 0x20;
const SMALL_E = 0x65;

/** A time field and 16 channels, as in packets; a line of 256 bytes holds hardly more. */
export const MAX_FIELDS = 17;
/** Up to 15 digits and a power of ten up to 22 are exact doubles, so one division is correctly rounded. */
const EXACT_DIGITS = 15;
const POWERS_OF_TEN = Float64Array.from({ length: 23 }, (_, k) => Number(`1e${k}`));

/** Digits that an integer of 32 bits holds for certain. */
const INT_DIGITS = 9;

export class FieldReader {
  /** The numbers of the last line; NaN where it said so. */
  readonly values = new Float64Array(MAX_FIELDS);
  /** How many of them are NaN or infinite (given as NaN). */
  nNotANumber = 0;
  #at = 0;

  /**
   * The quick way for the usual line: plain decimals, one separator between them. Returns where the
   * next line begins; -1 when `read` must look. There must be a line end at or after `first`.
   */
  readPlain(bytes: Uint8Array, first: number, nFields: number): number {
    const { values } = this;
    let separator = 0;
    let at = first;
    for (let c = 0; c < nFields; c += 1) {
      let byte = bytes[at];
      const isNegative = byte === MINUS;
      if (isNegative) byte = bytes[++at];
      const digitsAt = at;
      let whole = 0;
      let decimals = 0;
      let digit = byte - ZERO;
      // A byte below `0` becomes a large number, so one comparison tells a digit.
      while (digit >>> 0 <= 9) {
        whole = (Math.imul(whole, 10) + digit) | 0;
        digit = bytes[++at] - ZERO;
      }
      let digits = at - digitsAt;
      if (digit === POINT - ZERO) {
        const decimalsAt = ++at;
        digit = bytes[at] - ZERO;
        while (digit >>> 0 <= 9) {
          whole = (Math.imul(whole, 10) + digit) | 0;
          digit = bytes[++at] - ZERO;
        }
        decimals = at - decimalsAt;
        digits += decimals;
      }
      if (digits === 0 || digits > EXACT_DIGITS) return -1;
      const mantissa = digits <= INT_DIGITS ? whole : mantissaOf(bytes, digitsAt, at);
      const value = decimals === 0 ? mantissa : mantissa / POWERS_OF_TEN[decimals];
      values[c] = isNegative ? -value : value;
      const after = digit + ZERO;
      at += 1;
      if (c + 1 === nFields) {
        if (after === NEWLINE) break;
        if (after !== RETURN || bytes[at] !== NEWLINE) return -1;
        at += 1;
      } else if (c === 0) {
        if (after !== COMMA && after !== SEMICOLON && after !== TAB && after !== BLANK) return -1;
        separator = after;
      } else if (after !== separator) {
        return -1;
      }
    }
    this.nNotANumber = 0;
    return at;
  }

  /**
   * Number of fields in bytes [first, end); -1 when a field is no number, fields are empty or too
   * many, or separators are mixed (a comma beside semicolons is a decimal comma, which is not read).
   */
  read(bytes: Uint8Array, first: number, end: number): number {
    let separator = 0;
    let n = 0;
    this.nNotANumber = 0;
    let at = skipBlanks(bytes, first, end);
    while (at < end) {
      if (n === MAX_FIELDS) return -1;
      const value = this.#number(bytes, at, end);
      const after = this.#at;
      if (after < 0) return -1;
      this.values[n] = value;
      n += 1;
      at = skipBlanks(bytes, after, end);
      if (at === end) break;
      const byte = bytes[at];
      if (byte === COMMA || byte === SEMICOLON) {
        if (separator !== 0 && separator !== byte) return -1;
        separator = byte;
        at = skipBlanks(bytes, at + 1, end);
      } else if (at === after) {
        return -1;
      }
    }
    return n;
  }

  /** The number at `at`; leaves in #at where it ends, -1 when there is none. */
  #number(bytes: Uint8Array, first: number, end: number): number {
    let at = first;
    const isNegative = bytes[at] === MINUS;
    if (isNegative || bytes[at] === PLUS) at += 1;
    let digits = 0;
    let mantissa = 0;
    const wholeAt = at;
    for (; at < end; at += 1) {
      const digit = bytes[at] - ZERO;
      if (digit < 0 || digit > 9) break;
      mantissa = mantissa * 10 + digit;
    }
    digits = at - wholeAt;
    let decimals = 0;
    if (at < end && bytes[at] === POINT) {
      const pointAt = at;
      for (at += 1; at < end; at += 1) {
        const digit = bytes[at] - ZERO;
        if (digit < 0 || digit > 9) break;
        mantissa = mantissa * 10 + digit;
      }
      decimals = at - pointAt - 1;
      digits += decimals;
    }
    if (digits === 0) return this.#word(bytes, at, end);
    if (at < end && (bytes[at] | SMALL) === SMALL_E) return this.#slow(bytes, first, at, end);
    if (digits > EXACT_DIGITS) return this.#slow(bytes, first, at, end);
    this.#at = at;
    const value = decimals === 0 ? mantissa : mantissa / POWERS_OF_TEN[decimals];
    return isNegative ? -value : value;
  }

  /** A number with many digits or an exponent, whose mantissa ends at `mantissaEnd`. */
  #slow(bytes: Uint8Array, first: number, mantissaEnd: number, end: number): number {
    let at = mantissaEnd;
    if (at < end && (bytes[at] | SMALL) === SMALL_E) {
      at += 1;
      if (at < end && (bytes[at] === PLUS || bytes[at] === MINUS)) at += 1;
      const exponentAt = at;
      while (at < end && bytes[at] >= ZERO && bytes[at] <= NINE) at += 1;
      if (at === exponentAt) return this.#none();
    }
    this.#at = at;
    const value = Number(asciiText(bytes, first, at));
    return Number.isFinite(value) ? value : this.#missing();
  }

  /** `nan`, `inf` or `infinity` in any case, sign already read. */
  #word(bytes: Uint8Array, first: number, end: number): number {
    let at = first;
    while (at < end && (bytes[at] | SMALL) >= 0x61 && (bytes[at] | SMALL) <= 0x7a) at += 1;
    const word = at - first <= 8 ? asciiText(bytes, first, at).toLowerCase() : '';
    if (word !== 'nan' && word !== 'inf' && word !== 'infinity') return this.#none();
    this.#at = at;
    return this.#missing();
  }

  #missing(): number {
    this.nNotANumber += 1;
    return Number.NaN;
  }

  #none(): number {
    this.#at = -1;
    return 0;
  }
}

/** Up to 15 digits with or without a point among them. */
function mantissaOf(bytes: Uint8Array, first: number, end: number): number {
  let mantissa = 0;
  for (let at = first; at < end; at += 1) {
    if (bytes[at] !== POINT) mantissa = mantissa * 10 + (bytes[at] - ZERO);
  }
  return mantissa;
}

function skipBlanks(bytes: Uint8Array, first: number, end: number): number {
  let at = first;
  while (at < end && (bytes[at] === BLANK || bytes[at] === TAB)) at += 1;
  return at;
}
