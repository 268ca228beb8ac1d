/** The program's first file: hands the arguments to the commands and their lines to the terminal. */
import { runProgram } from './cli/index.ts';

// A reader that goes away (`momentarm ... | head`) ends the program quietly.
for (const stream of [process.stdout, process.stderr]) {
  stream.on('error', (error: NodeJS.ErrnoException) => {
    if (error.code === 'EPIPE') process.exit(0);
    throw error;
  });
}

process.exitCode = await runProgram(process.argv.slice(2), {
  out: (line) => void process.stdout.write(`${line}\n`),
  err: (line) => void process.stderr.write(`${line}\n`),
});
