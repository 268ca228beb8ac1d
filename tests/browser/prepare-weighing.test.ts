/**
 * Weighing and the polarity check as a tester does them: Chromium, the real daemon, and the emulated
 * machine on a serial line (a pseudo-terminal) or a TCP port.
 */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser } from 'playwright-core';
import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest';
import type { Wiring } from '../../shared/wiring/schema.ts';
import { openBrowser } from '../support/browser.ts';
import { buildPages } from '../support/pages.ts';
import { openStand, type Machine, type Stand } from '../support/stand.ts';

let browser: Browser;
let stand: Stand;

beforeAll(async () => {
  await buildPages();
  browser = await openBrowser();
});
afterAll(() => browser.close());
afterEach(() => stand.close());

async function open(machine: Machine, path: string): Promise<Stand> {
  stand = await openStand(browser, machine, path);
  return stand;
}

describe('weighing the limb', () => {
  test('four sweeps on a serial line, one refused with its place, used and in the bar', async () => {
    const script = 'rest:60,tense:5x2,rest:600';
    const { page, text, post, looksRight, daemon } = await open(
      { script, speedFactor: 4, on: 'serial' },
      'tester/weighing',
    );
    await post('api/subjects', { who: 'T1', body: { code: 'SH-03', bodyMass_kg: 79 } });
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
    const kept = readFileSync(join(daemon.dataFolder, 'catalogue.jsonl'), 'utf8');
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
    const { page, text, looksRight } = await open({ ...machine, on: 'tcp' }, 'tester/weighing');
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
    // Again and again, so that a slow machine that misses one movement sees the next.
    const script = `${'rest:9,polarity,'.repeat(8)}rest:600`;
    const machine = { script, speedFactor: 1, rewire: turned };
    const { page, text, looksRight } = await open({ ...machine, on: 'tcp' }, 'tester/station');
    await text('Not checked in this session.').waitFor();
    await page.keyboard.press('p');
    await text('Move the limb into plantarflexion').waitFor();
    await looksRight('polarity-live');
    const isTold = () =>
      text('the sign of the angle is turned')
        .waitFor({ timeout: 25_000 })
        .then(
          () => true,
          () => false,
        );
    for (let attempt = 1; attempt < 4 && !(await isTold()); attempt += 1) {
      await page.keyboard.press('p');
    }
    await text('the sign of the angle is turned').waitFor({ timeout: 25_000 });
    await looksRight('polarity-failed');
  });
});
