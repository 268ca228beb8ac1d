/** `import`: another station's recordings and decisions into this data folder. */
import { resolve } from 'node:path';
import { importFolder } from '../catalogue/import-folder.ts';
import { parseArguments, UsageError, type Command } from './command.ts';
import { inDataFolder, isFolder } from './data-folder.ts';

export const importCommand: Command = {
  name: 'import',
  about: "Takes another station's recordings and decisions into this data folder.",
  usage: `
Usage: npm run -s momentarm -- import FOLDER [--data ./data] [--json]

FOLDER is another station's data folder, or a backup of it. A recording that is here already is one; one
that is damaged, still open, or was deleted here is left out and named. Decisions on both sides about the
same version are kept as conflicts: the audit trail shows both. This station must not run meanwhile.

Exit status: 0 done; 1 done, and something was left out or is in conflict; 2 the folders cannot be used.`,
  async run(args, io) {
    const { values, positionals } = parseArguments(args, {
      data: { type: 'string', default: './data' },
      json: { type: 'boolean', default: false },
    });
    const [from, ...surplus] = positionals;
    if (from === undefined || surplus.length > 0) throw new UsageError('give one FOLDER to import');
    if (!isFolder(from)) throw new UsageError(`${from}: there is no such folder`);
    if (resolve(from) === resolve(values.data))
      throw new UsageError(`${from}: it is --data itself`);
    const report = await inDataFolder(values.data, io, async (folder) => {
      const imported = await importFolder(folder, resolve(from));
      await folder.catchUp();
      return imported;
    });
    const { added, same, refused, decisions } = report;
    if (values.json) io.out(JSON.stringify(report, null, 2));
    else {
      io.out(`${added.length} recordings taken in, ${same.length} were here already`);
      io.out(`${decisions.added} decisions taken in, ${decisions.conflicts} of them in conflict`);
      for (const { recording, why } of refused) io.err(`${recording}: left out: ${why}`);
      if (decisions.damagedLines > 0) io.err(`${decisions.damagedLines} damaged lines left out`);
    }
    const isPlain = refused.length + decisions.conflicts + decisions.damagedLines === 0;
    return isPlain ? 0 : 1;
  },
};
