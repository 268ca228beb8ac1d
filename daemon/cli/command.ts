/**
 * What a command of the program is. Exit status: 0 done; 1 done, and something was found wrong;
 * 2 unusable arguments or input, told in one line (throw a `UsageError`).
 */

export interface Command {
  readonly name: string;
  /** One sentence for `--help`. */
  readonly about: string;
  /** The whole text of `COMMAND --help`. */
  readonly usage: string;
  run(args: readonly string[], io: Io): Promise<number>;
}

export interface Io {
  /** A line on standard output. */
  out(line: string): void;
  /** A line on standard error. */
  err(line: string): void;
}

/** Something the user gave cannot be used: what, where, and what would do, in one line. */
export class UsageError extends Error {
  override readonly name = 'UsageError';
}
