/** Signed numbers as a person says them: a magnitude and the pattern's word for its direction. */
import type { JointPattern } from '../../shared/joints/pattern.ts';
import { magnitude } from './format.ts';

/** The pattern's word for a sign; empty at zero or without a pattern. */
export function directionWord(value: number, pattern: JointPattern | undefined): string {
  if (!pattern || value === 0 || Number.isNaN(value)) return '';
  return value > 0 ? pattern.rising : pattern.falling;
}

export function directionShort(value: number, pattern: JointPattern | undefined): string {
  if (!pattern || value === 0 || Number.isNaN(value)) return '';
  return value > 0 ? pattern.risingShort : pattern.fallingShort;
}

/** `35° plantarflexion`, `0°`. */
export function angleWords(value: number, pattern: JointPattern | undefined, digits = 0): string {
  const text = `${magnitude(value, digits)}°`;
  const word = Number(value.toFixed(digits)) === 0 ? '' : directionWord(value, pattern);
  return word === '' ? text : `${text} ${word}`;
}

export function angleShort(value: number, pattern: JointPattern | undefined): string {
  const word = Math.round(value) === 0 ? '' : directionShort(value, pattern);
  return `${magnitude(value)}°${word === '' ? '' : ` ${word}`}`;
}

export function capital(word: string): string {
  return word.charAt(0).toUpperCase() + word.slice(1);
}
