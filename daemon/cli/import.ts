/** `import`: another station's recordings and decisions, or a plain table, into this data folder. */
import { existsSync } from 'node:fs';
import { resolve } from 'node:path';
import * as v from 'valibot';
import { importFolder, type ImportReport } from '../catalogue/import-folder.ts';
import { importTable, type TableOrder } from '../catalogue/import-table.ts';
import { assignment } from '../../shared/catalogue/edits.ts';
import { parseArguments, UsageError, type Command, type Io } from './command.ts';
import { inDataFolder, isFolder } from './data-folder.ts';

const OPTIONS = {
  data: { type: 'string', default: './data' },
  json: { type: 'boolean', default: false },
  'started-at': { type: 'string' },
  rate: { type: 'string' },
  subject: { type: 'string' },
  pattern: { type: 'string' },
  side: { type: 'string' },
  mode: { type: 'string' },
  speed: { type: 'string' },
} as const;

type Values = ReturnType<typeof parseArguments<typeof OPTIONS>>['values'];

export const importCommand: Command = {
  name: 'import',
  about:
    "Takes another station's recordings and decisions, or a plain table, into this data folder.",
  usage: `
Usage: npm run -s momentarm -- import FOLDER [--data ./data] [--json]
       npm run -s momentarm -- import TABLE.csv --started-at 2026-11-25T09:15:00Z --subject SH-01 ...

FOLDER is another station's data folder, or a backup of it. A recording that is here already is one; one
that is damaged, still open, or was deleted here is left out and named. Decisions on both sides about the
same version are kept as conflicts: the audit trail shows both. This station must not run meanwhile.

TABLE.csv is a plain table as analyze takes it, evenly sampled; it becomes a recording. State its start
and what is known: --subject --pattern --side --mode --speed DEG_PER_S, and --rate HZ without a time column.

Exit status: 0 done; 1 done, and something was left out or is in conflict; 2 it cannot be used.`,
  async run(args, io) {
    const { values, positionals } = parseArguments(args, OPTIONS);
    const [from, ...surplus] = positionals;
    if (from === undefined || surplus.length > 0) {
      throw new UsageError('give one FOLDER or one table to import');
    }
    if (!existsSync(from)) throw new UsageError(`${from}: there is no such folder or table`);
    if (!isFolder(from)) return takeTable(orderOf(from, values), values, io);
    if (resolve(from) === resolve(values.data))
      throw new UsageError(`${from}: it is --data itself`);
    const report = await inDataFolder(values.data, io, async (folder) => {
      const imported = await importFolder(folder, resolve(from));
      await folder.catchUp();
      return imported;
    });
    if (values.json) io.out(JSON.stringify(report, null, 2));
    else tell(report, io);
    const { refused, decisions } = report;
    return refused.length + decisions.conflicts + decisions.damagedLines === 0 ? 0 : 1;
  },
};

function tell({ added, same, refused, decisions }: ImportReport, io: Io): void {
  io.out(`${added.length} recordings taken in, ${same.length} were here already`);
  io.out(`${decisions.added} decisions taken in, ${decisions.conflicts} in conflict`);
  for (const { recording, why } of refused) io.err(`${recording}: left out: ${why}`);
  if (decisions.damagedLines > 0) io.err(`${decisions.damagedLines} damaged lines left out`);
}

async function takeTable(order: TableOrder, values: Values, io: Io): Promise<number> {
  const taken = await inDataFolder(values.data, io, async (folder) => {
    const imported = await importTable(folder.path, order);
    await folder.catchUp();
    return imported;
  });
  if ('problem' in taken) throw new UsageError(`${order.file}: ${taken.problem}`);
  if (values.json) io.out(JSON.stringify(taken, null, 2));
  else io.out(`${taken.recording}${taken.isNew ? '' : ' (was here already)'}`);
  return 0;
}

function orderOf(file: string, values: Values): TableOrder {
  const stated = values['started-at'];
  if (stated === undefined) {
    throw new UsageError(
      '--started-at is missing: say when the table was measured, with Z for UTC',
    );
  }
  const startedAt = new Date(stated);
  if (!/T.*(Z|[+-]\d\d:\d\d)$/.test(stated) || Number.isNaN(startedAt.getTime())) {
    throw new UsageError(`--started-at ${stated}: give a time like 2026-11-25T09:15:00Z`);
  }
  const { subject, pattern, side, mode } = values;
  const given = Object.entries({
    subject,
    pattern,
    side,
    mode,
    speed_degps: numberOf('speed', values.speed),
  });
  const known = given.filter(([, value]) => value !== undefined);
  const checked = v.safeParse(assignment, { recording: 'table', ...Object.fromEntries(known) });
  if (!checked.success) {
    const [issue] = checked.issues;
    throw new UsageError(
      `--${(v.getDotPath(issue) ?? '').replace('_degps', '')}: ${issue.message}`,
    );
  }
  const { subject: code, pattern: joint, side: limb, mode: how, speed_degps } = checked.output;
  const all = { subject: code, pattern: joint, side: limb, mode: how, speed_degps };
  const conditions = Object.fromEntries(
    Object.entries(all).filter(([, value]) => value !== undefined),
  );
  const rate_Hz = numberOf('rate', values.rate);
  return {
    ...{ file, startedAt, conditions },
    ...(rate_Hz === undefined ? {} : { rate_Hz }),
  };
}

function numberOf(name: string, text: string | undefined): number | undefined {
  if (text === undefined) return undefined;
  const value = Number(text);
  if (text.trim() === '' || !(value > 0)) throw new UsageError(`--${name} ${text}: above 0`);
  return value;
}
