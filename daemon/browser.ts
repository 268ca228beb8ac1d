/** The Chromium that is installed on this computer, for paper: found by name, started, never downloaded. */
import { type ChildProcess, spawn } from 'node:child_process';
import { existsSync } from 'node:fs';
import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { setTimeout as sleep } from 'node:timers/promises';
import * as v from 'valibot';
import { WebSocket } from 'ws';

const PLACES: Readonly<Partial<Record<NodeJS.Platform, readonly string[]>>> = {
  linux: ['/usr/bin/chromium', '/usr/bin/chromium-browser', '/usr/bin/google-chrome'],
  darwin: [
    '/Applications/Chromium.app/Contents/MacOS/Chromium',
    '/Applications/Google Chrome.app/Contents/MacOS/Google Chrome',
  ],
  win32: [
    join(process.env['PROGRAMFILES'] ?? '', 'Google', 'Chrome', 'Application', 'chrome.exe'),
    join(process.env['PROGRAMFILES'] ?? '', 'Chromium', 'Application', 'chrome.exe'),
  ],
};
/** A page of twelve recordings on a busy computer. */
const PATIENCE_ms = 120_000;
const LOOK_EVERY_ms = 50;

/** Null when there is none; MOMENTARM_CHROMIUM names one elsewhere. */
export function findChromium(): string | null {
  const named = process.env['MOMENTARM_CHROMIUM'];
  const places = named ? [named] : (PLACES[process.platform] ?? []);
  return places.find((path) => existsSync(path)) ?? null;
}

/**
 * Prints a page into a PDF with tagged, selectable text, once `ready` (an expression in it) is true; where
 * it gives words instead, there will be no page, and they are why.
 */
export async function printPage(
  chromium: string,
  { url, ready, path }: { readonly url: string; readonly ready: string; readonly path: string },
): Promise<void> {
  const profile = await mkdtemp(join(tmpdir(), 'momentarm-paper-'));
  const asRoot = process.getuid?.() === 0 ? ['--no-sandbox'] : [];
  const args = ['--headless', '--disable-gpu', '--disable-background-networking', ...asRoot];
  const own = ['--remote-debugging-port=0', `--user-data-dir=${profile}`, 'about:blank'];
  const browser = spawn(chromium, [...args, ...own], { stdio: ['ignore', 'ignore', 'pipe'] });
  const ended = new Promise((resolve) => browser.once('close', resolve));
  const giveUp = setTimeout(() => browser.kill('SIGKILL'), PATIENCE_ms);
  try {
    const call = await connected(await addressOf(browser));
    const { targetId } = await call('Target.createTarget', { url });
    const { sessionId } = await call('Target.attachToTarget', { targetId, flatten: true });
    for (;;) {
      const said = await valueOf(call, ready, sessionId);
      if (said === true) break;
      if (typeof said === 'string' && said !== '') throw new Error(said);
      await sleep(LOOK_EVERY_ms);
    }
    const how = { preferCSSPageSize: true, printBackground: true, generateTaggedPDF: true };
    const { data } = await call('Page.printToPDF', how, sessionId);
    await writeFile(path, Buffer.from(String(data), 'base64'));
  } finally {
    clearTimeout(giveUp);
    browser.kill();
    await ended;
    await rm(profile, { recursive: true, force: true, maxRetries: 5 });
  }
}

/** Null also while the page is on its way and has nothing that could be asked. */
async function valueOf(call: Call, expression: string, sessionId: unknown): Promise<unknown> {
  const answer = await call('Runtime.evaluate', { expression }, sessionId).catch(refused);
  return v.is(v.looseObject({ value: v.unknown() }), answer['result'])
    ? answer['result'].value
    : null;
}

/** A connection that is gone does not come back; all else may. */
function refused(error: unknown): Answer {
  if (error instanceof Gone) throw error;
  return {};
}

class Gone extends Error {
  override readonly name = 'Gone';
}

/** Where it listens, from its own words; rejects when it ends without. */
function addressOf(browser: ChildProcess): Promise<string> {
  return new Promise((resolve, reject) => {
    browser.once('error', reject);
    browser.once('close', () => reject(new Error('Chromium ended before the page was printed')));
    if (browser.stderr === null) return;
    createInterface({ input: browser.stderr }).on('line', (line) => {
      const address = /^DevTools listening on (ws:\S+)/.exec(line)?.[1];
      if (address !== undefined) resolve(address);
    });
  });
}

type Call = (method: string, params: object, sessionId?: unknown) => Promise<Answer>;
type Answer = Readonly<Record<string, unknown>>;

const answerSchema = v.looseObject({
  id: v.optional(v.number()),
  result: v.optional(v.record(v.string(), v.unknown())),
  error: v.optional(v.looseObject({ message: v.string() })),
});

/** The browser's own protocol: numbered calls, numbered answers, all else is passed over. */
async function connected(address: string): Promise<Call> {
  const socket = new WebSocket(address, { perMessageDeflate: false });
  const waiting = new Map<number, { done: (answer: Answer) => void; fail: (e: Error) => void }>();
  await new Promise((resolve, reject) => {
    socket.once('open', resolve);
    socket.once('error', reject);
  });
  let isClosed = false;
  socket.on('message', (data: Buffer) => {
    const { id, result, error } = v.parse(answerSchema, JSON.parse(data.toString()));
    const asked = id === undefined ? undefined : waiting.get(id);
    if (error) asked?.fail(new Error(error.message));
    else asked?.done(result ?? {});
  });
  socket.on('close', () => {
    isClosed = true;
    for (const { fail } of waiting.values()) fail(new Gone('Chromium closed the connection'));
  });
  let last = 0;
  return (method, params, sessionId) => {
    if (isClosed) return Promise.reject(new Gone('Chromium closed the connection'));
    last += 1;
    const id = last;
    return new Promise((done, fail) => {
      waiting.set(id, { done, fail });
      socket.send(JSON.stringify({ id, method, params, ...(sessionId ? { sessionId } : {}) }));
    });
  };
}
