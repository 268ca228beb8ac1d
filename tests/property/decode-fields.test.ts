/** Numbers of a line are read to the last bit as the language's own parser reads them. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { FieldReader } from '../../shared/decode/fields.ts';

const reader = new FieldReader();

function read(text: string): number[] | null {
  const bytes = new TextEncoder().encode(text);
  const n = reader.read(bytes, 0, bytes.length);
  return n < 0 ? null : [...reader.values.subarray(0, n)];
}

const digits = fc.stringMatching(/^[0-9]{1,20}$/);
const decimal = fc
  .tuple(
    fc.constantFrom('', '-', '+'),
    digits,
    fc.option(digits),
    fc.option(fc.integer({ min: -330, max: 310 })),
  )
  .map(([sign, whole, part, exponent]) =>
    [sign, whole, part === null ? '' : `.${part}`, exponent === null ? '' : `e${exponent}`].join(
      '',
    ),
  );

/** As devices print: few digits, no exponent; some with more than a quick integer holds. */
const plain = fc.stringMatching(/^-?[0-9]{1,8}(\.[0-9]{0,8})?$/);

describe('fields of a line', () => {
  test('any decimal is the same double as Number gives', () => {
    fc.assert(
      fc.property(decimal, (text) => {
        const wanted = Number(text);
        const [value] = read(text) ?? [];
        expect(Object.is(value, Number.isFinite(wanted) ? wanted : Number.NaN)).toBe(true);
      }),
      { numRuns: 3000 },
    );
  });

  test('the quick way reads the same, or leaves the line to the strict one', () => {
    let nQuick = 0;
    fc.assert(
      fc.property(plain, plain, fc.constantFrom(',', ';', '\t', ' '), (a, b, separator) => {
        const line = a + separator + b;
        const bytes = new TextEncoder().encode(`${line}\r\n1${separator}2\n`);
        const next = reader.readPlain(bytes, 0, 2);
        if (next < 0) return;
        nQuick += 1;
        expect(next).toBe(line.length + 2);
        expect([...reader.values.subarray(0, 2)]).toEqual([Number(a), Number(b)]);
        expect(reader.readPlain(bytes, next, 2)).toBe(bytes.length);
        expect(reader.readPlain(bytes, next, 3)).toBe(-1);
      }),
      { numRuns: 3000 },
    );
    expect(nQuick).toBeGreaterThan(1000);
  });

  test('any double printed shortest comes back, -0 too', () => {
    fc.assert(
      fc.property(fc.array(fc.double(), { minLength: 1, maxLength: 17 }), (values) => {
        const text = values.map((value) => (Object.is(value, -0) ? '-0' : String(value)));
        const wanted = values.map((value) => (Number.isFinite(value) ? value : Number.NaN));
        for (const separator of [',', ' ; ', '\t', '  ']) {
          expect(read(text.join(separator))).toEqual(wanted);
        }
      }),
      { numRuns: 500 },
    );
  });

  test('what Number does not take alone is not taken', () => {
    fc.assert(
      fc.property(fc.stringMatching(/^[-+.0-9eExnaif,; ]{1,12}$/), (text) => {
        const values = read(text);
        if (values === null) return;
        const fields = text.trim().split(/\s*[,;]\s*|\s+/);
        if (fields.at(-1) === '') fields.pop();
        const wanted = fields.map((field) => {
          expect(field).not.toBe('');
          if (/^[-+]?(nan|inf)$/i.test(field)) return Number.NaN;
          const value = Number(field);
          expect(Number.isNaN(value), field).toBe(false);
          return Number.isFinite(value) ? value : Number.NaN;
        });
        expect(values).toEqual(wanted);
      }),
      { numRuns: 3000 },
    );
  });
});
