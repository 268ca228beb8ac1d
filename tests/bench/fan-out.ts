/**
 * P4 and P5: what a client of `/live` costs beside a raw TCP socket and beside the library's own way,
 * how late a block comes, and what a client that stops reading leaves behind. Rounds in turn, every
 * ratio within a round. The program goes through here three times: bench, server and clients.
 */
import { type ChildProcess, fork } from 'node:child_process';
import { join } from 'node:path';
import { runClients } from './fan-out/clients.ts';
import { serveWay, type Way } from './fan-out/server.ts';
import { unreadFigures } from './fan-out/unread.ts';

const SELF = join(import.meta.dirname, 'fan-out.ts');
const ROUNDS = 5;
const WARM_UP_ms = 1_500;
const MEASURE_ms = 5_000;
const MANY = 300;
const FEW = 3;

interface Measured {
  /** Share of a core. */
  readonly cpu_pct: number;
  /** Of that, in our own code rather than the system's. */
  readonly user_pct: number;
  readonly p50_ms: number;
  readonly p99_ms: number;
}

const sleep = (time_ms: number) => new Promise((resolve) => setTimeout(resolve, time_ms));

function forked(...args: string[]): ChildProcess {
  return fork(SELF, args, { execArgv: ['--import', 'tsx'] });
}

function answer(child: ChildProcess, question?: string): Promise<Record<string, unknown>> {
  const answered = new Promise<Record<string, unknown>>((resolve, reject) => {
    child.once('message', (message) => resolve({ ...(message as object) }));
    child.once('exit', (code) => reject(new Error(`a process of the bench ended with ${code}`)));
  });
  if (question !== undefined) child.send(question);
  return answered;
}

async function measure(way: Way, nClients: number): Promise<Measured> {
  const server = forked('server', way);
  const { port } = await answer(server);
  const clients = forked('clients', way, String(port), String(nClients));
  await answer(clients);
  await sleep(WARM_UP_ms);
  await answer(clients, 'forget');
  const before = await answer(server, 'cost');
  await sleep(MEASURE_ms);
  const after = await answer(server, 'cost');
  const share_pct = (name: string): number =>
    (Number(after[name]) - Number(before[name])) / 10 / MEASURE_ms;
  const { latencies_ms } = await answer(clients, 'report');
  const sorted = (latencies_ms as number[]).sort((a, b) => a - b);
  for (const child of [clients, server]) child.disconnect();
  return {
    cpu_pct: share_pct('cpu_us'),
    user_pct: share_pct('user_us'),
    p50_ms: quantile(sorted, 0.5),
    p99_ms: quantile(sorted, 0.99),
  };
}

function quantile(sorted: readonly number[], share: number): number {
  return sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? NaN;
}

function median(values: readonly number[]): number {
  return values.toSorted((a, b) => a - b)[values.length >> 1] ?? NaN;
}

function print(figure: Record<string, unknown>): void {
  const rounded = Object.entries(figure).map(([name, value]) => {
    return [name, typeof value === 'number' ? Number(value.toPrecision(3)) : value];
  });
  process.stdout.write(`${JSON.stringify(Object.fromEntries(rounded))}\n`);
}

async function bench(): Promise<void> {
  const rounds: Record<Way, Measured>[] = [];
  for (let round = 0; round < ROUNDS; round += 1) {
    const tcp = await measure('tcp', MANY);
    const tcpAsked = await measure('tcpAsked', MANY);
    const hub = await measure('hub', MANY);
    const library = await measure('library', MANY);
    rounds.push({ tcp, tcpAsked, hub, library });
  }
  const of = (pick: (round: Record<Way, Measured>) => number): number => median(rounds.map(pick));
  print({
    bench: 'P4 fan-out, 300 clients, 50 blocks/s',
    rawTcp_cpu_pct: of(({ tcp }) => tcp.cpu_pct),
    hub_cpu_pct: of(({ hub }) => hub.cpu_pct),
    library_cpu_pct: of(({ library }) => library.cpu_pct),
    askedTcp_cpu_pct: of(({ tcpAsked }) => tcpAsked.cpu_pct),
    hubToAskedTcp: of(({ hub, tcpAsked }) => hub.cpu_pct / tcpAsked.cpu_pct),
    rawTcp_user_pct: of(({ tcp }) => tcp.user_pct),
    hub_user_pct: of(({ hub }) => hub.user_pct),
    library_user_pct: of(({ library }) => library.user_pct),
    rawTcp_p50_ms: of(({ tcp }) => tcp.p50_ms),
    library_p50_ms: of(({ library }) => library.p50_ms),
    hubToRawTcp: of(({ hub, tcp }) => hub.cpu_pct / tcp.cpu_pct),
    hubToLibrary: of(({ hub, library }) => hub.cpu_pct / library.cpu_pct),
    hub_p50_ms: of(({ hub }) => hub.p50_ms),
    hub_p99_ms: of(({ hub }) => hub.p99_ms),
    rawTcp_p99_ms: of(({ tcp }) => tcp.p99_ms),
  });
  const few = { hub: await measure('hub', FEW), tcp: await measure('tcp', FEW) };
  print({
    bench: 'P4 fan-out, 3 clients',
    hub_p99_ms: few.hub.p99_ms,
    rawTcp_p99_ms: few.tcp.p99_ms,
  });
  for (const figure of await unreadFigures()) print(figure);
}

const [role = 'bench', way = 'hub', port, nClients] = process.argv.slice(2);
if (role === 'server') await serveWay(way as Way);
else if (role === 'clients') await runClients(way as Way, Number(port), Number(nClients));
else await bench();
