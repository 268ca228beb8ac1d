/** `restore`: a backup into a new data folder, after every digest was checked. */
import { resolve } from 'node:path';
import { checkBackup, DIGESTS_FILE, isEmptyPlace, restore } from '../catalogue/backup.ts';
import { diskTrouble } from '../store/disk-trouble.ts';
import { parseArguments, UsageError, type Command } from './command.ts';
import { inDataFolder } from './data-folder.ts';

export const restoreCommand: Command = {
  name: 'restore',
  about: 'Makes a data folder out of a backup, after checking every digest.',
  usage: `
Usage: npm run -s momentarm -- restore FOLDER --data NEW [--json]

FOLDER is a backup; NEW must be empty or absent. When a file is not what was backed up, it is named and
nothing is written.

Exit status: 0 done; 1 the backup is damaged; 2 the folders cannot be used.`,
  async run(args, io) {
    const { values, positionals } = parseArguments(args, {
      data: { type: 'string' },
      json: { type: 'boolean', default: false },
    });
    const [from, ...surplus] = positionals;
    const to = values.data;
    if (from === undefined || surplus.length > 0)
      throw new UsageError('give the FOLDER of a backup');
    if (to === undefined) throw new UsageError('--data is missing: give the new data folder');
    if (!isEmptyPlace(to)) throw new UsageError(`--data ${to}: not empty; give a new folder`);
    const checked = await checkBackup(resolve(from));
    if (checked === null) throw new UsageError(`${from}: no backup, it has no ${DIGESTS_FILE}`);
    const { names, wrong } = checked;
    if (wrong.length > 0) {
      if (values.json) io.out(JSON.stringify({ files: 0, recordings: 0, wrong }, null, 2));
      for (const name of wrong) io.err(`not what was backed up: ${name}`);
      return 1;
    }
    await restore(resolve(from), resolve(to), names).catch((error: unknown): never => {
      throw new UsageError(`--data ${to}: ${diskTrouble(error).words}`);
    });
    const recordings = await inDataFolder(to, io, async ({ sets, catchUp }) => {
      await catchUp();
      return sets.ids({ facets: {} }).length;
    });
    const report = { files: names.length, recordings, wrong };
    io.out(values.json ? JSON.stringify(report, null, 2) : `${recordings} recordings in ${to}`);
    return 0;
  },
};
