/** How numbers are written in a flag's sentence. */

/** One decimal; the sign is kept. */
export function tenths(value: number): string {
  return value.toFixed(1);
}

export function whole(value: number): string {
  return value.toFixed(0);
}

/** `1 hole`, `3 holes`. */
export function counted(n: number, one: string): string {
  return n === 1 ? `1 ${one}` : `${String(n)} ${one}s`;
}
