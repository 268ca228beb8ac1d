/**
 * Weighing and the polarity check as a tester does them: Chromium, the real daemon, and the emulated
 * machine on a serial line (a pseudo-terminal) or a TCP port.
 */
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest';
import { demoWiring } from '../../shared/simulation/outputs.ts';
import type { Wiring } from '../../shared/wiring/schema.ts';
import { openBrowser } from '../support/browser.ts';
import { startDaemon, type RunningDaemon } from '../support/daemon.ts';
import { startEmulation } from '../support/demo-emulator.ts';
import { buildPages, overflow, seriousFindings } from '../support/pages.ts';
import { createPty, type PtyPair } from '../support/pty.ts';

const SIZES = [
  { width: 1440, height: 900 },
  { width: 1024, height: 768 },
];
const PICTURES = process.env['MOMENTARM_PICTURES'];

let browser: Browser;
const folder = mkdtempSync(join(tmpdir(), 'momentarm-prepare-'));
let daemon: RunningDaemon | null = null;
let pty: PtyPair | null = null;
let page: Page;

beforeAll(async () => {
  await buildPages();
  browser = await openBrowser();
});
afterAll(async () => {
  await browser.close();
  rmSync(folder, { recursive: true, force: true });
});
afterEach(async () => {
  await page.context().close();
  await daemon?.stop();
  await pty?.end();
  daemon = null;
  pty = null;
});

interface Machine {
  readonly script: string;
  readonly speedFactor: number;
  readonly on: 'serial' | 'tcp';
  readonly rewire?: (wiring: Wiring) => Wiring;
}

/** The stand in a browser, with the machine behind it; complaints of the page fail the test at once. */
async function open({ script, speedFactor, on, rewire = (w) => w }: Machine, path: string) {
  const wiring = demoWiring('ankle-plantarflexion-dorsiflexion', 'right');
  if (!wiring) throw new Error('the demo has no wiring');
  const file = join(folder, 'wiring.json');
  writeFileSync(file, JSON.stringify(rewire(wiring)));
  const rest = ['--script', script, '--once', '--speed-factor', String(speedFactor)];
  let source: string;
  if (on === 'serial') {
    pty = await createPty();
    source = `serial:${pty.host}?baud=921600&format=packets`;
    const emulation = startEmulation([`serial:${pty.device}?baud=921600&format=packets`, ...rest]);
    emulation.done.catch(() => undefined);
  } else {
    const emulation = startEmulation(['tcp://127.0.0.1:0?format=packets', ...rest]);
    emulation.done.catch(() => undefined);
    source = await emulation.url;
  }
  daemon = await startDaemon({ args: ['--source', source, '--wiring', file] });
  const context = await browser.newContext({ viewport: SIZES[0] ?? null });
  page = await context.newPage();
  page.on('pageerror', (error) => {
    throw error;
  });
  await page.goto(daemon.url + path);
  return daemon;
}

async function post(at: RunningDaemon, path: string, body: object): Promise<void> {
  const response = await fetch(at.url + path, {
    method: 'POST',
    headers: { 'Content-Type': 'application/json' },
    body: JSON.stringify(body),
  });
  if (!response.ok) throw new Error(await response.text());
}

async function looksRight(name: string): Promise<void> {
  for (const size of SIZES) {
    await page.setViewportSize(size);
    await page.waitForTimeout(80);
    if (PICTURES) await page.screenshot({ path: `${PICTURES}/${name}-${size.width}.png` });
    expect(await overflow(page), `${name} at ${size.width}`).toEqual([]);
  }
  await page.setViewportSize(SIZES[0] ?? { width: 1440, height: 900 });
  expect(await seriousFindings(page)).toEqual([]);
}

const text = (words: string) => page.getByText(words, { exact: false }).first();

describe('weighing the limb', () => {
  test('four sweeps on a serial line, one refused with its place, used and in the bar', async () => {
    const script = 'rest:60,tense:5x2,rest:600';
    const at = await open({ script, speedFactor: 4, on: 'serial' }, 'tester/weighing');
    await post(at, 'api/subjects', { who: 'T1', body: { code: 'SH-03', bodyMass_kg: 79 } });
    await text('Not weighed yet.').waitFor();
    await looksRight('weighing-none');
    await page.keyboard.press('w');
    await text('sweep 3 of 4, moving toward dorsiflexion').waitFor({ timeout: 30_000 });
    await looksRight('weighing-live');
    const refusal = text('Sweep 2 was refused');
    await refusal.waitFor();
    expect(await page.locator('.notice').innerText()).toMatch(
      /Muscle tension between [3-7]° plantarflexion and 1[0-4]° plantarflexion: residual \d\.\d\sN·m, limit 1\.0\./,
    );
    // A reload loses nothing: the daemon is the truth.
    await page.reload();
    await refusal.waitFor();
    await text('One each way is in: it can be used.').waitFor({ timeout: 20_000 });
    await text('It was repeated; both are kept.').waitFor();
    await page.keyboard.press('Enter');
    await text('Take it back').waitFor();
    const bar = page.getByRole('banner');
    // The simulated limb at 0°: its weight and its tissue together, 4.4 N·m toward plantarflexion.
    expect(await bar.innerText()).toMatch(/4\.[3-6]\sN·m at 0° removed/);
    await looksRight('weighing-used');
    const kept = readFileSync(join(at.dataFolder, 'catalogue.jsonl'), 'utf8');
    expect(kept).toContain('"kind":"weighing"');
  });

  test('a limb that weighs nothing is asked about before it is used', async () => {
    const light = (wiring: Wiring): Wiring => ({
      ...wiring,
      channels: wiring.channels.map((channel) =>
        channel.quantity === 'torque' ? { ...channel, slope: 1e-6, offset: 0 } : channel,
      ),
    });
    const machine = { script: 'rest:50,passive:5x1,rest:600', speedFactor: 5, rewire: light };
    await open({ ...machine, on: 'tcp' }, 'tester/weighing');
    await text('Not weighed yet.').waitFor();
    await page.keyboard.press('w');
    await text('The limb weighs next to nothing. Why?').waitFor({ timeout: 30_000 });
    await page.keyboard.press('Enter');
    await page.waitForTimeout(300);
    expect(await text('Take it back').count()).toBe(0);
    await looksRight('weighing-nothing');
    await page.getByRole('button', { name: 'The machine removes it' }).click();
    await text('The machine removes the weight itself').waitFor();
    expect(await page.getByRole('banner').innerText()).toContain('Removed by the machine');
  });
});

describe('the polarity check', () => {
  test('says that the angle is turned, and what the station should look at', async () => {
    const turned = (wiring: Wiring): Wiring => ({
      ...wiring,
      channels: wiring.channels.map((channel) =>
        channel.quantity === 'angle'
          ? { ...channel, slope: -(channel.slope ?? 1), offset: -(channel.offset ?? 0) }
          : channel,
      ),
    });
    const machine = { script: 'rest:12,polarity,rest:600', speedFactor: 1, rewire: turned };
    await open({ ...machine, on: 'tcp' }, 'tester/station');
    await text('Not checked in this session.').waitFor();
    await page.waitForTimeout(4000);
    await page.keyboard.press('p');
    await text('Move the limb into plantarflexion').waitFor();
    await looksRight('polarity-live');
    await text('the sign of the angle is turned').waitFor({ timeout: 30_000 });
    await looksRight('polarity-failed');
  });
});
