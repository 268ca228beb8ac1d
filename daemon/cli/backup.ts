/** `backup`: recordings, decisions and the catalogue into another folder, with digests. */
import { resolve } from 'node:path';
import { backUp, DIGESTS_FILE, isEmptyPlace } from '../catalogue/backup.ts';
import { diskTrouble } from '../store/disk-trouble.ts';
import { parseArguments, UsageError, type Command } from './command.ts';
import { isFolder } from './data-folder.ts';

export const backupCommand: Command = {
  name: 'backup',
  about: 'Copies recordings, decisions and the catalogue to a folder, with a list of digests.',
  usage: `
Usage: npm run -s momentarm -- backup FOLDER [--data ./data] [--json]

FOLDER must be empty or absent. The station may run meanwhile; a recording that is under way is left
out and named. ${DIGESTS_FILE} lists every file: sha256sum -c reads it too.

Exit status: 0 done; 2 the folder cannot be used.`,
  async run(args, io) {
    const { values, positionals } = parseArguments(args, {
      data: { type: 'string', default: './data' },
      json: { type: 'boolean', default: false },
    });
    const [to, ...surplus] = positionals;
    if (to === undefined || surplus.length > 0)
      throw new UsageError('give one FOLDER to back up to');
    if (!isFolder(values.data)) throw new UsageError(`--data ${values.data}: no such folder`);
    if (!isEmptyPlace(to)) throw new UsageError(`${to}: not empty; give a new folder`);
    const report = await backUp(resolve(values.data), resolve(to)).catch(
      (error: unknown): never => {
        throw new UsageError(`${to}: ${diskTrouble(error).words}`);
      },
    );
    if (values.json) io.out(JSON.stringify(report, null, 2));
    else {
      io.out(`${report.recordings} recordings, ${report.files} files in ${to}`);
      for (const id of report.leftOut) io.out(`left out, still open: ${id}`);
    }
    return 0;
  },
};
