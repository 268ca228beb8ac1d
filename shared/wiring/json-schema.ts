/** The wiring file's published JSON Schema, made from the schema that reads it. */
import { toJsonSchema, type JsonSchema } from '@valibot/to-json-schema';
import { wiringSchema } from './schema.ts';

/** Draft 2020-12. Keys of the site's own begin with `x_`; others are refused. */
export function wiringJsonSchema(): JsonSchema {
  const schema = toJsonSchema(wiringSchema, {
    target: 'draft-2020-12',
    typeMode: 'input',
    ignoreActions: ['finite', 'trim', 'check'],
    overrideSchema: ({ valibotSchema, jsonSchema }) =>
      valibotSchema.type === 'loose_object'
        ? { ...jsonSchema, patternProperties: { '^x_': {} }, additionalProperties: false }
        : null,
  });
  return { title: 'Momentarm wiring file', ...schema };
}
