/** The README's tables of the wiring file's fields, so that they cannot drift from the schema. */
import type { JsonSchema } from '@valibot/to-json-schema';
import { wiringJsonSchema } from './json-schema.ts';

export function wiringMarkdown(): string {
  const file = wiringJsonSchema();
  const { channels } = file.properties ?? {};
  const channel = typeof channels === 'object' ? channels.items : undefined;
  if (typeof channel !== 'object' || Array.isArray(channel))
    throw new Error('no schema of a channel');
  return `${table(file)}\n\nA channel:\n\n${table(channel)}`;
}

function table({ properties = {}, required = [] }: JsonSchema): string {
  const rows = Object.entries(properties).map(([name, field]) => {
    const does = typeof field === 'object' ? (field.description ?? '') : '';
    return `| \`${name}\` | ${required.includes(name) ? 'yes' : ''} | ${does} |`;
  });
  return ['| field | required | what to give |', '|---|---|---|', ...rows].join('\n');
}
