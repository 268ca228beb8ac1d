/**
 * The commands of the program and the frame around them: help, unknown words, and one line instead
 * of a stack trace for whatever a user can cause. Commands are loaded when called: start-up is short.
 */
import { type Command, type Io, UsageError } from './command.ts';

interface Entry {
  readonly name: string;
  load(): Promise<Command>;
}

/** Runs the program; gives the exit status. */
export async function runProgram(args: readonly string[], io: Io): Promise<number> {
  const [name = '--help', ...rest] = args;
  if (name === '--help' || name === '-h' || name === 'help') {
    io.out(await programUsage());
    return 0;
  }
  const entry = COMMANDS.find((candidate) => candidate.name === name);
  if (!entry) {
    io.err(`momentarm: unknown command ${name}: known are ${commandNames()}`);
    return 2;
  }
  const command = await entry.load();
  if (rest.includes('--help') || rest.includes('-h')) {
    io.out(command.usage.trim());
    return 0;
  }
  try {
    return await command.run(rest, io);
  } catch (error) {
    if (error instanceof UsageError) {
      io.err(`momentarm ${name}: ${oneLine(error.message)}`);
      return 2;
    }
    throw error;
  }
}

async function programUsage(): Promise<string> {
  const commands = await Promise.all(COMMANDS.map((entry) => entry.load()));
  const width = Math.max(...commands.map(({ name }) => name.length));
  return [
    'Momentarm: torque and position of a joint dynamometer as numbers, live.',
    '',
    'Usage: npm run -s momentarm -- COMMAND ...',
    '',
    ...commands.map(({ name, about }) => `  ${name.padEnd(width)}  ${about}`),
    '',
    'COMMAND --help tells its options. --json prints one JSON document and nothing else.',
    'Exit status: 0 done; 1 something was found wrong; 2 unusable arguments or input.',
  ].join('\n');
}

function commandNames(): string {
  return COMMANDS.map((entry) => entry.name).join(' ');
}

function oneLine(text: string): string {
  return text.replace(/\s*[\r\n]+\s*/g, ' ');
}

const COMMANDS = [
  { name: 'serve', load: async () => (await import('./serve.ts')).serveCommand },
  { name: 'analyze', load: async () => (await import('./analyze.ts')).analyzeCommand },
  { name: 'export', load: async () => (await import('./export.ts')).exportCommand },
  { name: 'report', load: async () => (await import('./report.ts')).reportCommand },
  { name: 'verify', load: async () => (await import('./verify.ts')).verifyCommand },
  { name: 'emulate', load: async () => (await import('./emulate.ts')).emulateCommand },
  { name: 'import', load: async () => (await import('./import.ts')).importCommand },
  { name: 'backup', load: async () => (await import('./backup.ts')).backupCommand },
  { name: 'restore', load: async () => (await import('./restore.ts')).restoreCommand },
  { name: 'rebuild', load: async () => (await import('./rebuild.ts')).rebuildCommand },
] as const satisfies readonly Entry[];
