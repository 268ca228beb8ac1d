/**
 * The stand in Chromium with the real daemon and the emulated machine behind it, on a serial line (a
 * pseudo-terminal) or a TCP port; and whether a page looks right at both sizes of the stand.
 */
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Locator, Page } from 'playwright-core';
import { expect } from 'vitest';
import { demoWiring } from '../../shared/simulation/outputs.ts';
import type { Wiring } from '../../shared/wiring/schema.ts';
import { startDaemon, type RunningDaemon } from './daemon.ts';
import { startEmulation } from './demo-emulator.ts';
import { overflow, seriousFindings } from './pages.ts';
import { createPty } from './pty.ts';

const SIZES = [
  { width: 1440, height: 900 },
  { width: 1024, height: 768 },
];
/** Where to keep a picture of every state, when someone wants to look at them. */
const PICTURES = process.env['MOMENTARM_PICTURES'];

export interface Machine {
  readonly script: string;
  readonly speedFactor: number;
  readonly on: 'serial' | 'tcp';
  readonly rewire?: (wiring: Wiring) => Wiring;
}

export interface Stand {
  readonly daemon: RunningDaemon;
  readonly page: Page;
  /** The first element that holds these words. */
  readonly text: (words: string) => Locator;
  readonly post: (path: string, body: object) => Promise<void>;
  readonly looksRight: (name: string) => Promise<void>;
  readonly close: () => Promise<void>;
}

export async function openStand(
  browser: Browser,
  { script, speedFactor, on, rewire = (w) => w }: Machine,
  path: string,
): Promise<Stand> {
  const folder = mkdtempSync(join(tmpdir(), 'momentarm-stand-'));
  const wiring = demoWiring('ankle-plantarflexion-dorsiflexion', 'right');
  if (!wiring) throw new Error('the demo has no wiring');
  const file = join(folder, 'wiring.json');
  writeFileSync(file, JSON.stringify(rewire(wiring)));
  const pty = on === 'serial' ? await createPty() : null;
  const target = pty
    ? `serial:${pty.device}?baud=921600&format=packets`
    : 'tcp://127.0.0.1:0?format=packets';
  const emulation = startEmulation([
    ...[target, '--script', script, '--once'],
    ...['--speed-factor', String(speedFactor)],
  ]);
  // It ends when the station goes away, which is no trouble.
  emulation.done.catch(() => undefined);
  const source = pty ? `serial:${pty.host}?baud=921600&format=packets` : await emulation.url;
  const daemon = await startDaemon({ args: ['--source', source, '--wiring', file] });
  const context = await browser.newContext({ viewport: SIZES[0] ?? null });
  const page = await context.newPage();
  const complaints: string[] = [];
  page.on('pageerror', (error) => complaints.push(error.message));
  await page.goto(daemon.url + path);

  return {
    daemon,
    page,
    text: (words) => page.getByText(words, { exact: false }).first(),
    async post(to, body) {
      const response = await fetch(daemon.url + to, {
        method: 'POST',
        headers: { 'Content-Type': 'application/json' },
        body: JSON.stringify(body),
      });
      if (!response.ok) throw new Error(await response.text());
    },
    async looksRight(name) {
      for (const size of SIZES) {
        await page.setViewportSize(size);
        await page.waitForTimeout(80);
        if (PICTURES) await page.screenshot({ path: `${PICTURES}/${name}-${size.width}.png` });
        expect(await overflow(page), `${name} at ${size.width}`).toEqual([]);
      }
      await page.setViewportSize(SIZES[0] ?? { width: 1440, height: 900 });
      expect(await seriousFindings(page)).toEqual([]);
    },
    async close() {
      await context.close();
      await daemon.stop();
      await pty?.end();
      rmSync(folder, { recursive: true, force: true });
      expect(complaints).toEqual([]);
    },
  };
}
