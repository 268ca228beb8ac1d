/** The README's table of recipe parameters and of alternatives, made from the lists. */
import { ALTERNATIVES } from './alternatives.ts';
import type { Parameter } from './parameter.ts';
import { PARAMETERS } from './parameters.ts';

/** Lines of a Markdown table: header, rule, one row a parameter. */
export function recipeRows(): string[] {
  const rows = Object.entries(PARAMETERS).flatMap(([group, parameters]) =>
    Object.entries<Parameter>(parameters).map(([id, parameter]) =>
      row(
        `\`${group}.${id}\``,
        printed(parameter.preset),
        rangeOf(parameter),
        parameter.about,
        parameter.source,
      ),
    ),
  );
  return [row('parameter', 'default', 'range', 'what', 'source of the default'), rule(5), ...rows];
}

export function alternativeRows(): string[] {
  const rows = ALTERNATIVES.map(({ name, modes, source }) => row(name, modes.join(', '), source));
  return [row('alternative', 'modes', 'source'), rule(3), ...rows];
}

function printed(preset: Parameter['preset']): string {
  if (preset === null) return '`null`';
  return typeof preset === 'object' ? `[${preset.join(', ')}]` : String(preset);
}

function rangeOf(parameter: Parameter): string {
  if (parameter.kind === 'choice') return parameter.choices.join(', ');
  const { least, most, unit } = parameter;
  return `${String(least)} to ${String(most)} ${unit}`.trim();
}

function row(...cells: readonly string[]): string {
  return `| ${cells.map((cell) => cell.replaceAll('|', '\\|')).join(' | ')} |`;
}

function rule(n: number): string {
  return `|${' --- |'.repeat(n)}`;
}
