/** What was typed and not kept yet: it outlives a reload of the page, in this browser only. */
const PREFIX = 'momentarm-typed ';

export function typedBefore(key: string): Readonly<Record<string, string>> {
  try {
    const value: unknown = JSON.parse(localStorage.getItem(PREFIX + key) ?? '{}');
    return Object.fromEntries(
      Object.entries(value ?? {}).filter(
        (entry): entry is [string, string] => typeof entry[1] === 'string',
      ),
    );
  } catch {
    return {};
  }
}

/** Nothing left to keep: it is forgotten. */
export function keepTyped(key: string, typed: Readonly<Record<string, string>>): void {
  try {
    if (Object.keys(typed).length === 0) localStorage.removeItem(PREFIX + key);
    else localStorage.setItem(PREFIX + key, JSON.stringify(typed));
  } catch {
    // A browser that keeps nothing loses what was typed at a reload; the page works all the same.
  }
}

/** Takes a decimal comma and a minus sign as people type them; null for what is not a number. */
export function parseTyped(text: string): number | null {
  const plain = text.trim().replace(',', '.').replace('\u2212', '-');
  const value = Number(plain);
  return plain === '' || !Number.isFinite(value) ? null : value;
}
