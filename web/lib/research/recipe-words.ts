/** A parameter of the recipe in words: name, value, range and where its default comes from. */
import type { Parameter } from '../../../shared/recipe/parameter.ts';
import type { RecipeValue } from '../../../shared/recipe/edit.ts';
import { number, withUnit } from '../format.ts';
import { desk } from '../i18n/desk.ts';
import { splitUnit } from '../recipe-lines.ts';
import { capital } from '../words.ts';

const SHOWN: Readonly<Record<string, string>> = {
  deg: '°',
  'deg/s': '°/s',
  Nm: 'N·m',
  'kg m2': 'kg·m²',
};

/** The unit as pages write it; a share of something stays in its words. */
export function unitWord(parameter: Parameter): string {
  if (parameter.kind === 'choice') return '';
  return SHOWN[parameter.unit] ?? parameter.unit;
}

/** `Torque lowpass` of `torqueLowpass_Hz`. */
export function parameterName(id: string): string {
  return capital(splitUnit(id)[0].replace(/ (pct|factor|degps|kgm2)$/, ''));
}

/** As it is typed: no unit, every digit that is there. */
export function valueText(value: RecipeValue): string {
  if (value === null) return '';
  if (typeof value === 'string') return value;
  return typeof value === 'number' ? plain(value) : value.map(plain).join(', ');
}

/** As it is read, with its unit. */
export function valueWords(value: RecipeValue, parameter: Parameter): string {
  const text = valueText(value);
  if (text === '') return desk.recipe.none;
  const unit = unitWord(parameter);
  return unit === '' ? text : withUnit(text, unit);
}

export function rangeWords(parameter: Parameter): string {
  if (parameter.kind === 'choice') return '';
  const { least, most } = parameter;
  return desk.recipe.range(plain(least), plain(most), unitWord(parameter));
}

export function presetWords(parameter: Parameter): string {
  return desk.recipe.preset(valueWords(parameter.preset, parameter), parameter.source);
}

function plain(value: number): string {
  return number(value, 6).replace(/\.?0+$/, '');
}
