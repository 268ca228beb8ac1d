/** The README's table of measures, made from the lists. */
import { HYSTERESIS } from './hysteresis.ts';
import { MEASURES } from './index.ts';
import { SET_MEASURES } from './sets/index.ts';

/** Lines of a Markdown table: header, rule, one row a measure. */
export function measureRows(): string[] {
  const rows = [...MEASURES, HYSTERESIS, ...SET_MEASURES].map(
    ({ id, name, unit, formula, source, check }) =>
      row(`\`${id}\``, name, unit, formula, source, check),
  );
  return [row('measure', 'name', 'unit', 'formula', 'source', 'checked by'), rule(6), ...rows];
}

function row(...cells: readonly string[]): string {
  return `| ${cells.map((cell) => cell.replaceAll('|', '\\|')).join(' | ')} |`;
}

function rule(n: number): string {
  return `|${' --- |'.repeat(n)}`;
}
