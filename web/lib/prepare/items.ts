/** Reads and writes items of the catalogue: the revision that was read goes back with every change. */
import { ask, type Answer } from '../api.ts';
import { isRecord } from '../message.ts';

export interface Item {
  readonly id: string;
  readonly revision: number;
  readonly createdAt: string;
  readonly changedAt: string;
  readonly body: Readonly<Record<string, unknown>>;
}

/** Who works here, where nobody says. */
const WHO = 'tester';

export async function listItems(plural: string): Promise<Answer<readonly Item[]>> {
  return ask(`/api/${plural}`, (body) => {
    const items = isRecord(body) ? body['items'] : null;
    return Array.isArray(items) ? items.filter(isItem) : null;
  });
}

export async function createItem(plural: string, body: object): Promise<Answer<Item>> {
  return ask(`/api/${plural}`, itemOf, { method: 'POST', body: { who: WHO, body } });
}

export async function changeItem(
  plural: string,
  { id, revision }: Item,
  body: object,
): Promise<Answer<Item>> {
  const read = (reply: unknown) => itemOf(isRecord(reply) ? reply['item'] : null);
  const path = `/api/${plural}/${encodeURIComponent(id)}`;
  return ask(path, read, { method: 'PUT', body: { who: WHO, base: revision, body } });
}

function itemOf(value: unknown): Item | null {
  return isItem(value) ? value : null;
}

function isItem(value: unknown): value is Item {
  return isRecord(value) && typeof value['id'] === 'string' && isRecord(value['body']);
}
