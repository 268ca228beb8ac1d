/**
 * A stand-in for the station that a test puts into any state: serves the built pages, `/live` through
 * the real codec and canned answers of the API. Only for states that the real one cannot be forced into.
 */
import { createReadStream, existsSync } from 'node:fs';
import { createServer, type Server, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';
import { extname, join } from 'node:path';
import { type WebSocket, WebSocketServer } from 'ws';
import { encodeLiveBlock } from '../../shared/wire/block-codec.ts';
import type { LaneEvent, LiveEvent, StationState } from '../../shared/wire/events.ts';
import type { RunView } from '../../shared/session/run-view.ts';
import { FIRST_SCREEN } from '../../shared/session/screen.ts';
import { DEMO_SETUP } from '../../shared/wire/setup.ts';

const DIST = join(import.meta.dirname, '..', '..', 'dist', 'web');
const TYPES: Readonly<Record<string, string>> = {
  '.html': 'text/html',
  '.js': 'text/javascript',
  '.css': 'text/css',
  '.svg': 'image/svg+xml',
  '.woff2': 'font/woff2',
};

/** A station at which no sets are planned. */
export const NO_RUN_VIEW: RunView = {
  ...{ stage: 'none', plan: null, set: 0, recording: '', remaining_s: null, isPaused: false },
  ...{ repetitions: 0, outcomes: [], trouble: '', detail: '', mismatch: null },
  ...{ agreements: [], nUndo: 0, screen: FIRST_SCREEN },
};

export interface Asked {
  readonly method: string;
  readonly path: string;
  readonly body: unknown;
}

export interface Answer {
  readonly status: number;
  readonly body: unknown;
  /** Instead of `body`, where it depends on the query. */
  readonly from?: (query: URLSearchParams) => unknown;
}

export class Stage {
  readonly asked: Asked[] = [];
  /** Answers of the API by `METHOD path`, or by a path's beginning that ends in `*`. */
  readonly answers = new Map<string, Answer>();
  state: StationState = liveState();
  private ledger: LiveEvent | null = null;
  private lane: LaneEvent | null = null;
  private flowing: NodeJS.Timeout | undefined;
  private readonly server: Server;
  private readonly live = new Set<WebSocket>();
  private readonly subjects = new Set<WebSocket>();

  private constructor() {
    this.server = createServer((request, response) => {
      const path = (request.url ?? '/').split('?')[0] ?? '/';
      if (!path.startsWith('/api/')) return serveFile(path, response);
      let text = '';
      request.on('data', (chunk: Buffer) => (text += chunk.toString()));
      request.on('end', () => {
        const body: unknown = text === '' ? null : JSON.parse(text);
        this.asked.push({ method: request.method ?? 'GET', path: request.url ?? '', body });
        const query = new URL(request.url ?? '', 'http://stage').searchParams;
        this.answer(`${request.method ?? 'GET'} ${path}`, query, response);
      });
    });
    const sockets = new WebSocketServer({ server: this.server });
    sockets.on('connection', (socket, request) => {
      const isSubject = request.url === '/live/subject';
      const group = isSubject ? this.subjects : this.live;
      group.add(socket);
      socket.on('close', () => group.delete(socket));
      if (isSubject) {
        if (this.lane) socket.send(JSON.stringify(this.lane));
        return;
      }
      socket.send(JSON.stringify({ type: 'state', state: this.state }));
      if (this.ledger) socket.send(JSON.stringify(this.ledger));
    });
  }

  static async open(port = 0): Promise<Stage> {
    const stage = new Stage();
    await new Promise<void>((resolve) => stage.server.listen(port, '127.0.0.1', resolve));
    return stage;
  }

  get url(): string {
    return `http://127.0.0.1:${(this.server.address() as AddressInfo).port}`;
  }

  say(change: Partial<StationState>): void {
    this.state = { ...this.state, ...change, now: new Date().toISOString() };
    this.tell({ type: 'state', state: this.state });
  }

  tell(event: LiveEvent): void {
    if (event.type === 'ledger') this.ledger = event;
    for (const socket of this.live) socket.send(JSON.stringify(event));
  }

  show(event: LaneEvent): void {
    if (event.type === 'lane') this.lane = event;
    for (const socket of this.subjects) socket.send(JSON.stringify(event));
  }

  /** Sends samples [first, end) of the columns as blocks of at most 20 ms. */
  send(columns: readonly Float32Array[], first: number, end: number, rate_Hz: number): void {
    const most = Math.max(1, Math.round(rate_Hz / 50));
    for (let index = first; index < end; index += most) {
      const n = Math.min(most, end - index);
      const part = columns.map((column) => column.subarray(index, index + n));
      this.sendBlock(part, index, n, rate_Hz);
    }
  }

  private sendBlock(
    columns: readonly Float32Array[],
    index: number,
    n: number,
    rate_Hz: number,
  ): void {
    const arrival_ms = performance.now();
    const bytes = encodeLiveBlock({ index, n, rate_Hz, arrival_ms, afterGap: false, columns });
    for (const socket of this.live) socket.send(bytes);
  }

  /** Resolves when a page of the station is connected. */
  async seen(): Promise<void> {
    while (this.live.size === 0) await new Promise((resolve) => setTimeout(resolve, 5));
  }

  /** Goes on sending the columns from `first` in real time, over and over, until it is closed. */
  flow(columns: readonly Float32Array[], first: number, rate_Hz: number): void {
    const length = columns[0]?.length ?? 0;
    const n = Math.round(rate_Hz / 50);
    let index = first;
    this.flowing = setInterval(() => {
      const at = index % (length - n);
      const part = columns.map((column) => column.subarray(at, at + n));
      this.sendBlock(part, index, n, rate_Hz);
      index += n;
    }, 20);
  }

  stopFlow(): void {
    clearInterval(this.flowing);
  }

  /** Does not wait for sockets that a closed page left half open. */
  close(): void {
    this.stopFlow();
    for (const socket of [...this.live, ...this.subjects]) socket.terminate();
    this.server.closeAllConnections();
    this.server.close();
  }

  private answer(route: string, query: URLSearchParams, response: ServerResponse): void {
    const exact = this.answers.get(route);
    const prefix = [...this.answers].find(
      ([key]) => key.endsWith('*') && route.startsWith(key.slice(0, -1)),
    );
    const answer: Answer = exact ?? prefix?.[1] ?? { status: 200, body: {} };
    const { status } = answer;
    const body = answer.from?.(query) ?? answer.body;
    response.writeHead(status, { 'Content-Type': 'application/json' });
    response.end(JSON.stringify(body));
  }
}

function serveFile(path: string, response: ServerResponse): void {
  const asFile = join(DIST, path);
  const file = extname(path) !== '' && existsSync(asFile) ? asFile : join(DIST, 'index.html');
  response.writeHead(200, { 'Content-Type': TYPES[extname(file)] ?? 'application/octet-stream' });
  createReadStream(file).pipe(response);
}

export function liveState(): StationState {
  return {
    station: 'North',
    version: '0.1.0',
    now: new Date().toISOString(),
    source: {
      state: 'live',
      url: 'serial:/dev/ttyUSB0?baud=921600&format=packets',
      kind: 'device',
      rate_Hz: 1000,
      samples: 12_000,
      gaps: 0,
      lostSamples: 0,
      damaged: 0,
      silence_ms: 3,
      lastSampleAt: new Date().toISOString(),
      tries: 0,
      detail: '',
      format: 'packets',
      integrity: 'crc32',
      drift_ppm: 11.8,
      clipped: 0,
    },
    columns: [
      { name: 'torque_Nm', unit: 'N·m', channel: 'ai0' },
      { name: 'angle_deg', unit: '°', channel: 'ai1' },
      { name: 'velocity_degps', unit: '°/s', channel: '' },
    ],
    recording: null,
    setup: DEMO_SETUP,
    preparation: {
      weighed: null,
      polarity: null,
      position: null,
      weighing: null,
      checking: null,
      calibration: null,
    },
    run: NO_RUN_VIEW,
    faults: [],
    flags: [],
  };
}
