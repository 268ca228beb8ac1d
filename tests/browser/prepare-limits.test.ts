/** Limits taken from the limb by a key, typed ones that make no sense, and what a reload leaves. */
import type { Browser } from 'playwright-core';
import { afterAll, afterEach, beforeAll, expect, test } from 'vitest';
import { openBrowser } from '../support/browser.ts';
import { buildPages } from '../support/pages.ts';
import { openStand, type Stand } from '../support/stand.ts';

let browser: Browser;
let stand: Stand;

beforeAll(async () => {
  await buildPages();
  browser = await openBrowser();
});
afterAll(() => browser.close());
afterEach(() => stand.close());

test('stops first, then a key at each end; impossible limits are refused in words', async () => {
  const machine = { script: 'rest:1,passive:5x9', speedFactor: 1, on: 'serial' } as const;
  stand = await openStand(browser, machine, 'tester/limits');
  const { page, text, looksRight, daemon } = stand;
  await text('First the mechanical stops').waitFor();
  const least = page.getByLabel('Toward plantarflexion', { exact: true });
  const before = await least.inputValue();
  await page.keyboard.press('f');
  expect(await least.inputValue()).toBe(before);
  await page.getByLabel('The mechanical stops are set by hand and tried').check();
  await page.keyboard.press('f');
  // The machine sweeps between -35° and 15°: wherever it was when the key was pressed.
  const taken = Number(await least.inputValue());
  expect(taken).not.toBe(Number(before));
  expect(taken).toBeGreaterThanOrEqual(-36);
  expect(taken).toBeLessThanOrEqual(16);
  await looksRight('limits-taken');

  await least.fill('20');
  await text(
    'The limit toward plantarflexion must lie below the one toward dorsiflexion.',
  ).waitFor();
  await least.fill('-260');
  await text('260° from anatomical zero is no place a limb can be.').waitFor();
  await least.fill('-32');
  await page.reload();
  await expect.poll(() => least.inputValue()).toBe('-32');
  await least.press('Enter');
  await text('Kept.').waitFor();
  const setup: unknown = await (await fetch(`${daemon.url}api/setup`)).json();
  expect(setup).toMatchObject({ rangeLimits_deg: [-32, 16] });
});
