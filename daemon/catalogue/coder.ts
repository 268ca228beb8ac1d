/** Gives each different value a small number, counted from 0 in the order in which they come. */
export interface Coder<T> {
  readonly values: readonly T[];
  code(value: T): number;
  /** Undefined for a value that has none. */
  find(value: T): number | undefined;
}

/** Values with the same `key` are the same. */
export function createCoder<T>(key: (value: T) => string): Coder<T> {
  const values: T[] = [];
  const codes = new Map<string, number>();
  return {
    values,
    code(value) {
      const name = key(value);
      const known = codes.get(name);
      if (known !== undefined) return known;
      codes.set(name, values.length);
      values.push(value);
      return values.length - 1;
    },
    find: (value) => codes.get(key(value)),
  };
}
