/**
 * Seeded chance for the simulator: the same seed gives the same numbers on every machine.
 * Each part of the simulation draws from its own stream, so that one never shifts another.
 */

export interface Random {
  /** Even in [0, 1). */
  readonly uniform: () => number;
  /** Mean 0, standard deviation 1. */
  readonly gauss: () => number;
}

/** A stream of numbers of its own for every pair of seed (any integer) and name. */
export function createRandom(seed: number, stream: string): Random {
  let weyl = Math.imul(seed | 0, 0x9e3779b1) ^ 0x811c9dc5;
  for (let i = 0; i < stream.length; i++) {
    weyl = Math.imul(weyl ^ stream.charCodeAt(i), 0x01000193);
  }
  const mix = () => {
    weyl = (weyl + 0x9e3779b9) | 0;
    let z = weyl;
    z = Math.imul(z ^ (z >>> 16), 0x85ebca6b);
    z = Math.imul(z ^ (z >>> 13), 0xc2b2ae35);
    return z ^ (z >>> 16);
  };
  const next = xoshiro128([mix(), mix(), mix(), mix()]);
  const uniform = () => next() / 4294967296;

  let spare: number | null = null;
  const gauss = () => {
    if (spare !== null) {
      const kept = spare;
      spare = null;
      return kept;
    }
    // Box and Muller (1958); 1 - u keeps the logarithm off zero.
    const radius = Math.sqrt(-2 * Math.log(1 - uniform()));
    const turn = 2 * Math.PI * uniform();
    spare = radius * Math.sin(turn);
    return radius * Math.cos(turn);
  };
  return { uniform, gauss };
}

/** xoshiro128** of Blackman and Vigna (2018): whole numbers below 2^32 from four that are not all 0. */
export function xoshiro128([a, b, c, d]: readonly [number, number, number, number]): () => number {
  return () => {
    const times5 = Math.imul(b, 5);
    const result = Math.imul((times5 << 7) | (times5 >>> 25), 9);
    const shifted = b << 9;
    c ^= a;
    d ^= b;
    b ^= c;
    a ^= d;
    c ^= shifted;
    d = (d << 11) | (d >>> 21);
    return result >>> 0;
  };
}
