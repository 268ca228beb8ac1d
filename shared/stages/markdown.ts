/** The README's table of the live computation's steps, so that it cannot drift from the list. */
import { STAGES } from './index.ts';

export function stagesMarkdown(): string {
  const rows = STAGES.map(({ id, about }) => `| \`${id}\` | ${about} |`);
  return ['| step | what it does |', '|---|---|', ...rows].join('\n');
}
