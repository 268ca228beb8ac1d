/**
 * Numbers and times as the pages show them: minus sign, spaces that never break.
 * Formatting only; nothing here rounds a stored number.
 */

const MINUS = '\u2212';
/** Never breaks; the bundled font draws no narrower one. */
const SPACE = '\u00a0';
export const DASH = '\u2013';

/** `1 000`, `\u221212.5`; a dash for null, undefined and what is not a number. */
export function number(value: number | null | undefined, digits = 0): string {
  if (value === null || value === undefined || !Number.isFinite(value)) return DASH;
  const fixed = Math.abs(value).toFixed(digits);
  const [whole = '0', part] = fixed.split('.');
  const grouped = whole.replace(/\B(?=(\d{3})+(?!\d))/g, SPACE);
  const sign = value < 0 && Number(fixed) !== 0 ? MINUS : '';
  return sign + grouped + (part === undefined ? '' : `.${part}`);
}

/** The same without a sign: the direction is said in words beside it. */
export function magnitude(value: number | null | undefined, digits = 0): string {
  return number(typeof value === 'number' ? Math.abs(value) : value, digits);
}

/** `96 N\u00b7m` with a space that never breaks. */
export function withUnit(text: string, unit: string): string {
  return unit === '\u00b0' ? text + unit : `${text}${SPACE}${unit}`;
}

/** `0:10.9`, or `1:02:03` from an hour on. */
export function duration(seconds: number | null | undefined, digits = 1): string {
  if (seconds === null || seconds === undefined || !Number.isFinite(seconds)) return DASH;
  const scale = 10 ** digits;
  const total = Math.floor(Math.max(0, seconds) * scale + 1e-6) / scale;
  const hours = Math.floor(total / 3600);
  const minutes = Math.floor((total % 3600) / 60);
  const two = (n: number) => String(n).padStart(2, '0');
  if (hours > 0) return `${hours}:${two(minutes)}:${two(Math.floor(total % 60))}`;
  const rest = (total % 60).toFixed(digits).padStart(digits === 0 ? 2 : 3 + digits, '0');
  return `${minutes}:${rest}`;
}

/** `14:08` or `14:08:11` in the clock of this screen's place. */
export function clock(date: Date, hasSeconds = false): string {
  const two = (n: number) => String(n).padStart(2, '0');
  const minutes = `${two(date.getHours())}:${two(date.getMinutes())}`;
  return hasSeconds ? `${minutes}:${two(date.getSeconds())}` : minutes;
}

/** `25 Nov 2026`. */
export function day(date: Date, locale: string): string {
  return new Intl.DateTimeFormat(locale, {
    day: 'numeric',
    month: 'short',
    year: 'numeric',
  }).format(date);
}

/** `Wed 25 Nov`. */
export function weekday(date: Date, locale: string): string {
  const part = (options: Intl.DateTimeFormatOptions) =>
    new Intl.DateTimeFormat(locale, options).format(date);
  return `${part({ weekday: 'short' })} ${part({ day: 'numeric' })} ${part({ month: 'short' })}`;
}

/** `12.4 MB`. */
export function bytes(n: number): string {
  const units = ['B', 'kB', 'MB', 'GB'];
  let value = n;
  let unit = 0;
  for (; value >= 1000 && unit < units.length - 1; unit += 1) value /= 1000;
  return withUnit(number(value, unit === 0 || value >= 100 ? 0 : 1), units[unit] ?? '');
}
