/** Asks the daemon over HTTP. Trouble is a value with words for a person, never an exception. */
import { t } from './i18n/index.ts';
import { isRecord } from './message.ts';

export type Answer<T> =
  | { readonly isGood: true; readonly value: T }
  /** `status` 0: no answer at all. */
  | { readonly isGood: false; readonly status: number; readonly problem: string };

/** `read` turns the body into what is wanted, or null when it is something else. */
export async function ask<T>(
  path: string,
  read: (body: unknown) => T | null,
  how: {
    readonly method?: 'GET' | 'PUT' | 'POST';
    readonly body?: unknown;
    readonly signal?: AbortSignal;
  } = {},
): Promise<Answer<T>> {
  try {
    const response = await fetch(path, {
      method: how.method ?? 'GET',
      headers: how.body === undefined ? {} : { 'Content-Type': 'application/json' },
      ...(how.body === undefined ? {} : { body: JSON.stringify(how.body) }),
      ...(how.signal ? { signal: how.signal } : {}),
    });
    const text = await response.text();
    const body: unknown = text === '' ? null : JSON.parse(text);
    if (!response.ok) return { isGood: false, status: response.status, problem: problemOf(body) };
    const value = read(body);
    if (value === null) return { isGood: false, status: response.status, problem: t.failed };
    return { isGood: true, value };
  } catch {
    return { isGood: false, status: 0, problem: t.noAnswer };
  }
}

/** The bytes of a binary answer. */
export async function askBytes(path: string): Promise<Answer<Uint8Array<ArrayBuffer>>> {
  try {
    const response = await fetch(path);
    const bytes = new Uint8Array(await response.arrayBuffer());
    if (response.ok) return { isGood: true, value: bytes };
    const body: unknown = JSON.parse(new TextDecoder().decode(bytes));
    return { isGood: false, status: response.status, problem: problemOf(body) };
  } catch {
    return { isGood: false, status: 0, problem: t.noAnswer };
  }
}

/** For requests whose answer is only that it was done. */
export function done(): true {
  return true;
}

function problemOf(body: unknown): string {
  if (isRecord(body) && typeof body['detail'] === 'string' && body['detail'] !== '') {
    return body['detail'];
  }
  return t.failed;
}
