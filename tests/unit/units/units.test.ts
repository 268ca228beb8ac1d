/** Unit factors against the seven digits of NIST Special Publication 811 (2008), appendix B, from memory. */
import { expect, test } from 'vitest';
import { unitNamed, unitsOf } from '../../../shared/units/units.ts';

test.each([
  ['ft.lbf', 1.355818, 'B.8: foot pound-force to N m'],
  ['in.lbf', 0.1129848, 'B.8: inch pound-force to N m'],
  ['kgf.m', 9.80665, 'B.8: kilogram-force meter to N m'],
  ['lb', 0.4535924, 'B.8: pound to kilogram'],
  ['lbf', 4.448222, 'B.8: pound-force to newton'],
  ['rad', 57.29578, '1 rad = 57.29578 degrees, handbook value'],
  ['rpm', 6, '360 degrees in 60 s, by hand'],
])('%s is %d of its own unit (%s)', (spelling, factor) => {
  expect(Math.abs((unitNamed(spelling)?.factor ?? NaN) / factor - 1)).toBeLessThan(4.5e-7);
});

test('spellings of one unit are one unit', () => {
  expect(unitNamed(' N·m ')).toBe(unitNamed('Nm'));
  expect(unitNamed('deg_per_s')).toBe(unitNamed('deg/s'));
  expect(unitNamed('°/s')?.symbol).toBe('degps');
});

test('case counts, and the unknown is null', () => {
  expect(unitNamed('nm')).toBeNull();
  expect(unitNamed('')).toBeNull();
  expect(unitNamed('constructor')).toBeNull();
});

test("a dimension's units begin with the product's own", () => {
  expect(unitsOf('torque')[0]).toBe('Nm');
  expect(unitsOf('angle')).toEqual(['deg', 'rad', 'rev']);
});
