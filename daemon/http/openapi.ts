/** The OpenAPI 3.1 document, made of the very schemas that check the requests. */
import { toJsonSchema } from '@valibot/to-json-schema';
import type * as v from 'valibot';
import type { Route } from './route.ts';

type Json = Readonly<Record<string, unknown>>;

export function openApiDocument(routes: readonly Route[], version: string) {
  const paths: Record<string, Record<string, Json>> = {};
  for (const route of routes) {
    const path = (paths[route.url] ??= {});
    path[route.method.toLowerCase()] = operation(route);
  }
  return {
    openapi: '3.1.0' as const,
    info: {
      title: 'Momentarm station',
      version,
      description: 'Recording and display of joint dynamometry. It does not stop the machine.',
      license: { name: 'MIT', identifier: 'MIT' },
    },
    servers: [{ url: '/' }],
    paths,
    components: { schemas: { Problem: PROBLEM } },
  };
}

const PROBLEM = {
  type: 'object',
  description: 'What went wrong, in words (RFC 9457).',
  properties: {
    type: { type: 'string' },
    title: { type: 'string' },
    status: { type: 'integer' },
    detail: { type: 'string' },
  },
  required: ['type', 'title', 'status', 'detail'],
};

function operation(route: Route): Json {
  const parameters = [
    ...parametersOf(route.path, { place: 'path', isAlwaysRequired: true }),
    ...parametersOf(route.query, { place: 'query', isAlwaysRequired: false }),
  ];
  const takesBody = Object.keys(properties(route.body)).length > 0;
  return {
    operationId: operationId(route),
    summary: route.about,
    ...(parameters.length > 0 ? { parameters } : {}),
    ...(takesBody ? { requestBody: { required: true, content: json(schemaOf(route.body)) } } : {}),
    responses: {
      [route.reply.status]: {
        description: 'Done.',
        content:
          route.reply.type === 'application/json'
            ? json(schemaOf(route.reply.schema))
            : { [route.reply.type]: { schema: { type: 'string' } } },
      },
      ...Object.fromEntries(
        Object.entries(route.problems ?? {}).map(([status, text]) => [status, problem(text)]),
      ),
      default: problem('The request could not be answered.'),
    },
  };
}

function problem(description: string): Json {
  const schema = { $ref: '#/components/schemas/Problem' };
  return { description, content: { 'application/problem+json': { schema } } };
}

function json(schema: Json): Json {
  return { 'application/json': { schema } };
}

/** `GET /api/recordings/{id}/samples` becomes `getRecordingsIdSamples`. */
function operationId(route: Route): string {
  const words = route.url.replace('/api/', '').match(/\w+/g) ?? [];
  const capitals = words.map((word) => word.charAt(0).toUpperCase() + word.slice(1));
  return route.method.toLowerCase() + capitals.join('');
}

function parametersOf(
  schema: v.GenericSchema,
  { place, isAlwaysRequired }: { place: 'path' | 'query'; isAlwaysRequired: boolean },
): Json[] {
  const { required = [] } = schemaOf(schema);
  return Object.entries(properties(schema)).map(([name, property]) => ({
    name,
    in: place,
    required: isAlwaysRequired || (Array.isArray(required) && required.includes(name)),
    schema: property,
  }));
}

function properties(schema: v.GenericSchema): Json {
  const found = schemaOf(schema)['properties'];
  return typeof found === 'object' && found !== null ? { ...found } : {};
}

/** Rules that JSON Schema cannot say (a check across two fields) are left out of it, not of the check. */
function schemaOf(schema: v.GenericSchema): Json {
  const converted: Record<string, unknown> = {
    ...toJsonSchema(schema, {
      target: 'draft-2020-12',
      typeMode: 'input',
      errorMode: 'ignore',
    }),
  };
  // The document states the dialect once for all.
  delete converted['$schema'];
  return converted;
}
