/** `rebuild`: the catalogue's database anew, out of the decisions and recordings on the disk. */
import { resolve } from 'node:path';
import { deleteDatabase } from '../catalogue/logs.ts';
import { parseArguments, UsageError, type Command } from './command.ts';
import { inDataFolder } from './data-folder.ts';

export const rebuildCommand: Command = {
  name: 'rebuild',
  about: 'Makes the catalogue database anew from what stands in the data folder.',
  usage: `
Usage: npm run -s momentarm -- rebuild [--data ./data] [--json]

The database is derived: decisions stand in catalogue.jsonl and in each recording's edits.jsonl.
Afterwards every answer is the same as before. The station must not run meanwhile.

Exit status: 0 done; 1 done, and damaged lines were left out; 2 no such folder, or it is in use.`,
  async run(args, io) {
    const { values, positionals } = parseArguments(args, {
      data: { type: 'string', default: './data' },
      json: { type: 'boolean', default: false },
    });
    const [surplus] = positionals;
    if (surplus !== undefined) throw new UsageError(`${surplus}: give the folder with --data`);
    const path = resolve(values.data);
    const done = await inDataFolder(
      path,
      io,
      async ({ catalogue, sets, catchUp }) => {
        await catchUp();
        const { total } = sets.query(EVERYTHING);
        const entries = catalogue.audit({ limit: -1, offset: 0 });
        const conflicts = entries.filter(({ state }) => state === 'conflict').length;
        return { sets: total, entries: entries.length, conflicts, damage: catalogue.damage };
      },
      { before: () => deleteDatabase(path) },
    );
    if (values.json) io.out(JSON.stringify(done, null, 2));
    else {
      io.out(`${done.entries} decisions (${done.conflicts} in conflict), ${done.sets} sets`);
      for (const { file, lines } of done.damage) {
        io.err(`${file}: damaged, left out: line ${lines.join(', ')}`);
      }
    }
    return done.damage.length > 0 ? 1 : 0;
  },
};

const EVERYTHING = {
  facets: {},
  sort: 'startedAt',
  isDescending: false,
  limit: 0,
  offset: 0,
} as const;
