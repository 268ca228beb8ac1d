/** Reads a request's JSON body: bounded, and only when it says that it is JSON. */
import type { IncomingMessage } from 'node:http';
import { Problem } from './problem.ts';

/** A set-up or a wiring is some kilobytes; nothing of the API needs more. */
const MOST_BODY_bytes = 64 * 1024;

/**
 * Undefined when there is no body. Asking for the JSON type keeps forms of other pages out: a browser
 * must ask before it sends it across origins, and nobody answers that question.
 */
export async function readJson(request: IncomingMessage): Promise<unknown> {
  const text = await readText(request);
  if (text === '') return undefined;
  if (!/^application\/json\b/i.test(request.headers['content-type'] ?? '')) {
    throw new Problem(415, 'The body must be JSON, with Content-Type: application/json.');
  }
  try {
    return JSON.parse(text);
  } catch {
    throw new Problem(400, 'The body is not valid JSON.');
  }
}

async function readText(request: IncomingMessage): Promise<string> {
  const pieces: Buffer[] = [];
  let length = 0;
  for await (const piece of request) {
    if (!Buffer.isBuffer(piece)) continue;
    length += piece.length;
    if (length > MOST_BODY_bytes) {
      throw new Problem(413, `The body may have ${MOST_BODY_bytes} bytes at most.`);
    }
    pieces.push(piece);
  }
  return Buffer.concat(pieces).toString('utf8');
}
