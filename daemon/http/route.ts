/**
 * What a route of the API is: one description that validates what comes in, types what the handler
 * sees, and is the source of the OpenAPI document. A reply is JSON of a schema, lines of text, or a file.
 */
import type { Readable } from 'node:stream';
import * as v from 'valibot';
import type { Station } from '../station.ts';
import { Problem } from './problem.ts';

type Schema = v.GenericSchema;

interface RouteShape<P extends Schema, Q extends Schema, B extends Schema> {
  readonly method: 'GET' | 'PUT' | 'POST';
  /** Parts in braces are named by `path`, as OpenAPI writes them. */
  readonly url: `/api/${string}`;
  /** One sentence for the OpenAPI document. */
  readonly about: string;
  readonly path: P;
  readonly query: Q;
  readonly body: B;
  /** Trouble that a caller should expect beside a bad request: status to sentence. */
  readonly problems?: Readonly<Record<number, string>>;
}

interface Parts<P extends Schema, Q extends Schema, B extends Schema> {
  readonly path: v.InferOutput<P>;
  readonly query: v.InferOutput<Q>;
  readonly body: v.InferOutput<B>;
}

type Handler<P extends Schema, Q extends Schema, B extends Schema, R> = (
  station: Station,
  parts: Parts<P, Q, B>,
) => R | Promise<R>;

/** The request as it came: nothing in it is trusted. */
export interface RawParts {
  readonly path: unknown;
  readonly query: unknown;
  readonly body: unknown;
}

export type Reply =
  | { readonly type: 'application/json'; readonly status: 200 | 201; readonly schema: Schema }
  | { readonly type: 'text/csv' | 'application/octet-stream'; readonly status: 200 };

/** A file to save, under its own name. */
export interface Download {
  readonly name: string;
  readonly content: Readable;
}

export type Answer =
  | { readonly json: unknown }
  | { readonly lines: AsyncIterable<string> }
  | { readonly download: Download };

export interface Route extends RouteShape<Schema, Schema, Schema> {
  readonly reply: Reply;
  answer(station: Station, raw: RawParts): Promise<Answer>;
}

/** Spread into a route that takes nothing, then state what it does take. */
const nothing = v.strictObject({});
export const TAKES_NOTHING = { path: nothing, query: nothing, body: nothing };

/** A route that answers with JSON; the compiler holds the handler to the reply's schema. */
export function jsonRoute<P extends Schema, Q extends Schema, B extends Schema, R extends Schema>(
  shape: RouteShape<P, Q, B> & {
    readonly reply: R;
    readonly status?: 200 | 201;
    readonly run: Handler<P, Q, B, v.InferOutput<R>>;
  },
): Route {
  const { reply: schema, status = 200, run, ...rest } = shape;
  return {
    ...rest,
    reply: { type: 'application/json', status, schema },
    answer: async (station, raw) => ({ json: await run(station, parseParts(shape, raw)) }),
  };
}

/** A route that answers with lines of CSV, as they are read. */
export function csvRoute<P extends Schema, Q extends Schema, B extends Schema>(
  shape: RouteShape<P, Q, B> & { readonly run: Handler<P, Q, B, AsyncIterable<string>> },
): Route {
  const { run, ...rest } = shape;
  return {
    ...rest,
    reply: { type: 'text/csv', status: 200 },
    answer: async (station, raw) => ({ lines: await run(station, parseParts(shape, raw)) }),
  };
}

/** A route that answers with a file to save. */
export function fileRoute<P extends Schema, Q extends Schema, B extends Schema>(
  shape: RouteShape<P, Q, B> & { readonly run: Handler<P, Q, B, Download> },
): Route {
  const { run, ...rest } = shape;
  return {
    ...rest,
    reply: { type: 'application/octet-stream', status: 200 },
    answer: async (station, raw) => ({ download: await run(station, parseParts(shape, raw)) }),
  };
}

function parseParts<P extends Schema, Q extends Schema, B extends Schema>(
  shape: RouteShape<P, Q, B>,
  raw: RawParts,
): Parts<P, Q, B> {
  return {
    path: parse(shape.path, raw.path, { status: 404, where: 'path' }),
    query: parse(shape.query, raw.query, { status: 400, where: 'query' }),
    body: parse(shape.body, raw.body ?? {}, { status: 400, where: 'body' }),
  };
}

function parse<S extends Schema>(
  schema: S,
  value: unknown,
  trouble: { status: number; where: string },
): v.InferOutput<S> {
  const result = v.safeParse(schema, value, { abortEarly: true });
  if (result.success) return result.output;
  const [issue] = result.issues;
  const at = v.getDotPath(issue);
  const place = at === null ? trouble.where : `${trouble.where} ${at}`;
  throw new Problem(trouble.status, `${place}: ${issue.message}`);
}
