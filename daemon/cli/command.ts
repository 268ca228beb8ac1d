/**
 * What a command of the program is. Exit status: 0 done; 1 done, and something was found wrong;
 * 2 unusable arguments or input, told in one line (throw a `UsageError`).
 */
import { parseArgs, type ParseArgsConfig } from 'node:util';

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

type Options = NonNullable<ParseArgsConfig['options']>;
type Parsed<O extends Options> = ReturnType<
  typeof parseArgs<{ args: string[]; options: O; allowPositionals: true; strict: true }>
>;

/** Reads a command's options and file names; what is unknown or incomplete is a `UsageError`. */
export function parseArguments<O extends Options>(args: readonly string[], options: O): Parsed<O> {
  let parsed: Parsed<O>;
  try {
    parsed = parseArgs({ args: [...args], options, allowPositionals: true, strict: true });
  } catch (error) {
    throw new UsageError(argumentTrouble(error, Object.keys(options)));
  }
  refuseEmpty(parsed);
  return parsed;
}

/** An empty name would be resolved to the folder one stands in. */
function refuseEmpty({ positionals, values }: { positionals: string[]; values: object }): void {
  if (positionals.some((text) => text.trim() === '')) {
    throw new UsageError('an argument is empty: give a name');
  }
  for (const [name, value] of Object.entries(values)) {
    if (value === '') throw new UsageError(`--${name} "": give a value after it`);
  }
}

function argumentTrouble(error: unknown, known: readonly string[]): string {
  const text = error instanceof Error ? error.message : String(error);
  const option = /'(--?[^' ]*)/.exec(text)?.[1] ?? 'an option';
  if (/argument missing/.test(text)) return `${option} needs a value after it`;
  if (/does not take an argument/.test(text)) return `${option} takes no value`;
  if (/argument is ambiguous/.test(text)) {
    return `${option} is followed by something like an option: write ${option}=VALUE`;
  }
  return `unknown option ${option}: known are ${known.map((name) => `--${name}`).join(' ')}`;
}
