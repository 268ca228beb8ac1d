/**
 * `npm run docs`: text that is made from the code, written where people read it: the tables of README
 * between `<!-- generated: name() -->` and `<!-- end -->`, and the wiring file's JSON Schema.
 * With `--check` nothing is written; stale text is named and the exit status is 1.
 */
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { format } from 'prettier';
import { flagsMarkdown } from '../../shared/flags/markdown.ts';
import { patternsMarkdown } from '../../shared/joints/markdown.ts';
import { measureRows } from '../../shared/measures/markdown.ts';
import { alternativeRows, recipeRows } from '../../shared/recipe/markdown.ts';
import { stagesMarkdown } from '../../shared/stages/markdown.ts';
import { wiringJsonSchema } from '../../shared/wiring/json-schema.ts';
import { wiringMarkdown } from '../../shared/wiring/markdown.ts';

const ROOT = join(import.meta.dirname, '..', '..');
const README = 'README.md';
const SCHEMA = join('shared', 'wiring', 'wiring.schema.json');

const TABLES: Readonly<Record<string, () => string>> = {
  alternativesMarkdown: () => alternativeRows().join('\n'),
  measuresMarkdown: () => measureRows().join('\n'),
  recipeMarkdown: () => recipeRows().join('\n'),
  flagsMarkdown,
  patternsMarkdown,
  stagesMarkdown,
  wiringMarkdown,
};

/** Path to text, as it should be. */
export async function freshDocs(): Promise<Map<string, string>> {
  const readme = readFileSync(join(ROOT, README), 'utf8').replaceAll(
    /(<!-- generated: (\w+)\(\) -->\n)[\s\S]*?(<!-- end -->)/g,
    (_whole, open: string, name: string, close: string) => {
      const table = TABLES[name];
      if (!table) throw new Error(`README asks for ${name}(), which tests/support/docs.ts lacks`);
      return `${open}\n${table().trim()}\n\n${close}`;
    },
  );
  const json = { singleQuote: true, printWidth: 100 } as const;
  return new Map([
    [README, await format(readme, { ...json, parser: 'markdown' })],
    [SCHEMA, await format(JSON.stringify(wiringJsonSchema()), { ...json, parser: 'json' })],
  ]);
}

export async function staleDocs(): Promise<string[]> {
  const fresh = [...(await freshDocs())];
  return fresh
    .filter(([path, text]) => readFileSync(join(ROOT, path), 'utf8') !== text)
    .map(([path]) => path);
}

if (process.argv[1] === import.meta.filename) {
  const stale = await staleDocs();
  if (process.argv.includes('--check')) {
    for (const path of stale) process.stdout.write(`${path} is stale: npm run docs\n`);
    process.exit(stale.length === 0 ? 0 : 1);
  }
  for (const [path, text] of await freshDocs()) writeFileSync(join(ROOT, path), text);
  process.stdout.write(stale.length === 0 ? 'all fresh\n' : `written: ${stale.join(', ')}\n`);
}
