/** The type of a catalogue: what the first language says, with any other words in its place. */

export type Words<T> = T extends string
  ? string
  : T extends (...args: infer A) => infer R
    ? (...args: A) => Words<R>
    : { readonly [K in keyof T]: Words<T[K]> };
