/** A whole station inside the test's own process: real source, disk, HTTP and sockets, port 0. */
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createDoor } from '../../daemon/access/door.ts';
import { allowedHosts } from '../../daemon/http/guard.ts';
import { serveLive } from '../../daemon/http/live.ts';
import { createRouter } from '../../daemon/http/router.ts';
import { ROUTES } from '../../daemon/http/routes/index.ts';
import { listen } from '../../daemon/http/server.ts';
import { createStaticSite } from '../../daemon/http/static.ts';
import { parseSourceUrl } from '../../daemon/sources/url.ts';
import { openStation, type Station } from '../../daemon/station.ts';

export interface TestStation {
  readonly station: Station;
  /** Without a slash at the end. */
  readonly url: string;
  readonly dataFolder: string;
  /** What the daemon would have logged. */
  readonly log: readonly string[];
  close(): Promise<void>;
}

export async function openTestStation(source = 'demo:'): Promise<TestStation> {
  const dataFolder = await mkdtemp(join(tmpdir(), 'momentarm-station-'));
  const lines: string[] = [];
  const log = (level: string, what: string, fields?: object): void => {
    lines.push(`${level} ${what} ${JSON.stringify(fields ?? {})}`);
  };
  const station = await openStation({
    dataFolder,
    source: parseSourceUrl(source),
    wiring: null,
    version: '0.0.0',
    log,
  });
  const host = '127.0.0.1';
  const guard = { hosts: allowedHosts(host, []), isOpen: false };
  const door = createDoor(station.access, { isOpen: false });
  const router = createRouter(ROUTES, station, log);
  const site = createStaticSite(join(dataFolder, 'no-pages'));
  const { server, port } = await listen({ host, port: 0, guard, door, router, site, log });
  serveLive(server, station.hub, { ...guard, port }, door);
  return {
    station,
    url: `http://${host}:${port}`,
    dataFolder,
    log: lines,
    async close() {
      server.close();
      await station.close('the test is over');
      server.closeAllConnections();
      await rm(dataFolder, { recursive: true, force: true });
    },
  };
}
