/** `serve`: the station as a program. Opens the data folder, the source and the port, and ends in order. */
import { access, constants } from 'node:fs/promises';
import { networkInterfaces } from 'node:os';
import { createDoor } from '../access/door.ts';
import { parseServeOptions, type ServeOptions } from '../config.ts';
import { allowedHosts, inUrl } from '../http/guard.ts';
import { serveLive } from '../http/live.ts';
import { createRouter } from '../http/router.ts';
import { ROUTES } from '../http/routes/index.ts';
import { listen } from '../http/server.ts';
import { createStaticSite } from '../http/static.ts';
import { createLog, type Log } from '../log.ts';
import { packageVersion, webFolder } from '../package.ts';
import { makePrivateFolder, onStopRequested } from '../platform.ts';
import { openStation, type Station } from '../station.ts';
import { lockFolder } from '../station-lock.ts';
import { diskTrouble, errorCode } from '../store/disk-trouble.ts';
import { type Command, type Io, UsageError } from './command.ts';

/** Whoever asked for the end waits two seconds at most: longer than this and we leave as we are. */
const CLOSE_PATIENCE_ms = 1_600;
const LEAVE_AFTER_ms = 200;

export const serveCommand: Command = {
  name: 'serve',
  about: 'The station: reads the source, serves the pages and the API, records.',
  usage: `
Usage: npm start -- [options]

  --port 4870          port of the pages; 0 takes a free one and prints it
  --host 127.0.0.1     address to listen on; another than this machine's needs --open
  --data ./data        folder for recordings; one station a folder
  --source demo:       where samples come from:
                         demo:                                   the built-in simulator
                         serial:/dev/ttyUSB0?baud=921600&format=lines
                         tcp://host:port?format=packets
                         ws://host:port/path?format=packets
                         replay:RECORDING?speed=1
  --wiring FILE        which channel is what, in which unit (JSON)
  --open               development: no token, other ports and machines may call
  --json               prints {"url": ...} instead of the ready line

Ctrl-C closes the recording and ends.`,
  run: serve,
};

async function serve(args: readonly string[], io: Io): Promise<number> {
  const options = await parseServeOptions(args);
  await openFolder(options.dataFolder);
  const lock = await lockFolder(options.dataFolder);
  if ('ownedBy' in lock) {
    throw new UsageError(
      `--data ${options.dataFolder}: another station (process ${lock.ownedBy}) uses this folder; ` +
        'stop it, or give another --data',
    );
  }
  try {
    return await runStation(options, io);
  } finally {
    await lock.release();
    // Whatever still holds the process (a device that does not close) is left behind.
    setTimeout(() => process.exit(), LEAVE_AFTER_ms).unref();
  }
}

async function runStation(options: ServeOptions, io: Io): Promise<number> {
  // Listened to from the first moment: whoever reads the ready line may ask for the end at once.
  const stopRequested = new Promise<string>(onStopRequested);
  const log = createLog((line) => io.err(line));
  const station = await openStation({ ...options, version: packageVersion(), log });
  try {
    const { server, port } = await openPort(options, station, log);
    const url = `http://${inUrl(options.host)}:${port}/`;
    io.out(options.isJson ? JSON.stringify({ url }) : `momentarm ready ${url}`);
    const reason = await stopRequested;
    log('info', 'stopping', { reason });
    server.close();
    const closed = station.close(`the station was stopped (${reason})`).catch((error: unknown) => {
      log('error', 'not everything could be closed', { reason: String(error) });
    });
    await within(CLOSE_PATIENCE_ms, closed);
    server.closeAllConnections();
    return 0;
  } catch (error) {
    await station.close('the station could not start');
    throw error;
  }
}

async function openPort(options: ServeOptions, station: Station, log: Log) {
  const { host, port, isOpen } = options;
  const guard = { hosts: allowedHosts(host, ownAddresses()), isOpen };
  const door = createDoor(station.access, { isOpen });
  const router = createRouter(ROUTES, station, log);
  const site = createStaticSite(webFolder());
  try {
    const listening = await listen({ host, port, guard, door, router, site, log });
    serveLive(listening.server, station.hub, { ...guard, port: listening.port }, door);
    return listening;
  } catch (error) {
    throw new UsageError(listenTrouble(error, options));
  }
}

function listenTrouble(error: unknown, { host, port }: ServeOptions): string {
  switch (errorCode(error)) {
    case 'EADDRINUSE':
      return `--port ${port}: already in use; stop that program, or give --port 0 for a free one`;
    case 'EACCES':
      return `--port ${port}: this account may not use it; give one from 1024 to 65535`;
    default:
      return `--host ${host}: not an address of this machine (${errorCode(error)}); try 127.0.0.1`;
  }
}

async function openFolder(folder: string): Promise<void> {
  try {
    await makePrivateFolder(folder);
    await access(folder, constants.W_OK);
  } catch (error) {
    throw new UsageError(`--data ${folder}: ${diskTrouble(error).words}; give another folder`);
  }
}

function ownAddresses(): string[] {
  return Object.values(networkInterfaces()).flatMap((entries) =>
    (entries ?? []).map(({ address }) => address),
  );
}

/** Waits for the work, but no longer than that. */
async function within(patience_ms: number, work: Promise<unknown>): Promise<void> {
  let timer: NodeJS.Timeout | undefined;
  const patience = new Promise((resolve) => {
    timer = setTimeout(resolve, patience_ms);
  });
  await Promise.race([work, patience]);
  clearTimeout(timer);
}
