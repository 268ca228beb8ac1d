/** `emulate`: a DAQ in software, for trying things without hardware and for tests. */
import { writeFileSync } from 'node:fs';
import { createDevice, type Device } from '../emulator/device.ts';
import {
  EMULATE_USAGE,
  parseEmulateOptions,
  type EmulateOptions,
  type EmulatorFiles,
} from '../emulator/options.ts';
import { runDevice, type RunReport } from '../emulator/run.ts';
import { createPlainTable, createTruthTable, type Table } from '../emulator/tables.ts';
import { WIRES, type Wire } from '../emulator/wires/index.ts';
import { createNoWire } from '../emulator/wires/none.ts';
import { UsageError, type Command, type Io } from './command.ts';

export const emulateCommand: Command = {
  name: 'emulate',
  about: 'A DAQ in software: writes the wire formats to a serial line, a TCP port or a WebSocket.',
  usage: EMULATE_USAGE,
  run: emulate,
};

async function emulate(args: readonly string[], io: Io): Promise<number> {
  const options = parseEmulateOptions(args);
  const { url, settings, plan, isJson } = options;
  const device = createDevice({
    ...settings,
    imperfections: {
      ...settings.imperfections,
      torqueSpikes: plan.spike,
      torqueDelay_s: plan.torqueDelay_s,
    },
    repeat: !options.isPlayedOnce,
    ...(plan.burst_s > 0 && { piece_s: plan.burst_s }),
  });
  const wire = await openWire(options);
  const tables = openTables(device, options.files);
  if (url !== null) {
    const line = `momentarm emulates ${settings.subject.code} on ${wire.url}`;
    if (isJson) io.err(line);
    else io.out(line);
  }
  const report = await runUntilSignal((signal) =>
    runDevice({
      device,
      wire,
      plan,
      seed: settings.seed,
      speedFactor: url === null ? 0 : options.speedFactor,
      duration_s: options.duration_s,
      signal,
      onPiece: ({ simulated }) => {
        for (const table of tables) table.write(simulated);
      },
    }),
  );
  await wire.close();
  for (const table of tables) table.close();
  if (isJson) io.out(JSON.stringify(summary(wire, options, report)));
  else io.out(`${report.samples} samples, ${report.unsentSamples} of them not sent`);
  return 0;
}

async function openWire({ url, speedFactor }: EmulateOptions): Promise<Wire> {
  if (url === null) return createNoWire();
  const kind = WIRES.find(({ id }) => id === url.id);
  if (kind) return kind.create(url, speedFactor === 0 ? 'wait' : 'leave out');
  const forms = WIRES.map(({ form }) => form).join(', ');
  throw new UsageError(`${url.text} cannot be written to: use ${forms}`);
}

function openTables({ wiring, format }: Device, files: EmulatorFiles): readonly Table[] {
  const { rate_Hz } = format;
  const tables: Table[] = [];
  if (files.wiring !== undefined) writeWiring(files.wiring, wiring);
  if (files.out !== undefined) tables.push(createPlainTable({ path: files.out, wiring, rate_Hz }));
  if (files.truth !== undefined) {
    tables.push(createTruthTable({ path: files.truth, wiring, rate_Hz }));
  }
  return tables;
}

function writeWiring(path: string, wiring: Device['wiring']): void {
  try {
    writeFileSync(path, `${JSON.stringify(wiring, null, 2)}\n`);
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    throw new UsageError(`cannot write ${path}: ${why}`);
  }
}

async function runUntilSignal<T>(run: (signal: AbortSignal) => Promise<T>): Promise<T> {
  const stop = new AbortController();
  const onSignal = () => stop.abort();
  process.once('SIGINT', onSignal);
  process.once('SIGTERM', onSignal);
  try {
    return await run(stop.signal);
  } finally {
    process.off('SIGINT', onSignal);
    process.off('SIGTERM', onSignal);
  }
}

function summary(wire: Wire, { settings, speedFactor }: EmulateOptions, report: RunReport) {
  const { pattern, side, subject, seed, rate_Hz, format } = settings;
  return {
    url: wire.url,
    device: { pattern, side, subject: subject.code, seed, rate_Hz, format },
    speedFactor,
    ...report,
    ...wire.counts,
  };
}
