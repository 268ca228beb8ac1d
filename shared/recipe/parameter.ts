/** What a parameter of the recipe is: its kind, unit, range, default and the default's source. */

export interface NumberParameter {
  readonly kind: 'number';
  readonly unit: string;
  readonly least: number;
  readonly most: number;
  readonly preset: number;
  readonly about: string;
  readonly source: string;
}

/** A number, or null for "not done". */
export interface OptionalParameter extends Omit<NumberParameter, 'kind' | 'preset'> {
  readonly kind: 'optional';
  readonly preset: number | null;
}

/** Rising numbers, at most twelve. */
export interface ListParameter extends Omit<NumberParameter, 'kind' | 'preset'> {
  readonly kind: 'list';
  readonly preset: readonly number[];
}

export interface ChoiceParameter<T extends string = string> {
  readonly kind: 'choice';
  readonly choices: readonly T[];
  readonly preset: T;
  readonly about: string;
  readonly source: string;
}

export type Parameter = NumberParameter | OptionalParameter | ListParameter | ChoiceParameter;

type Texts = readonly [about: string, source: string];

export function number(
  preset: number,
  unit: string,
  [least, most]: readonly [number, number],
  [about, source]: Texts,
): NumberParameter {
  return { kind: 'number', unit, least, most, preset, about, source };
}

export function optional(
  preset: number | null,
  unit: string,
  [least, most]: readonly [number, number],
  [about, source]: Texts,
): OptionalParameter {
  return { kind: 'optional', unit, least, most, preset, about, source };
}

export function list(
  preset: readonly number[],
  unit: string,
  [least, most]: readonly [number, number],
  [about, source]: Texts,
): ListParameter {
  return { kind: 'list', unit, least, most, preset, about, source };
}

export function choice<const T extends string>(
  preset: NoInfer<T>,
  choices: readonly T[],
  [about, source]: Texts,
): ChoiceParameter<T> {
  return { kind: 'choice', choices, preset, about, source };
}

/** A limit of a flag: the numbers and their sources are those of the flags themselves. */
export function limit(preset: number, unit: string, most: number, about: string): NumberParameter {
  return number(preset, unit, [0, most], [about, 'see the flags']);
}
