/** Writing a position down and aligning the limb, as a tester does it in Chromium with the real daemon. */
import type { Browser } from 'playwright-core';
import { afterAll, afterEach, beforeAll, expect, test } from 'vitest';
import { openBrowser } from '../support/browser.ts';
import { buildPages } from '../support/pages.ts';
import { openStand, type Stand } from '../support/stand.ts';

const MACHINE = { script: 'rest:600', speedFactor: 1, on: 'tcp' } as const;
const LIMB = { subject: 'SH-03', pattern: 'ankle-plantarflexion-dorsiflexion' };
/** The example of the look: three settings differ and one is mirrored. */
const LEFT = {
  Backrest: 75,
  'Seat, fore and aft': 14,
  'Seat height': 6,
  Height: 31,
  Turn: -90,
  Tilt: 0,
  'Lever length': 9,
  'Next joint': 30,
  Support: 3,
};

let browser: Browser;
let stand: Stand;

beforeAll(async () => {
  await buildPages();
  browser = await openBrowser();
});
afterAll(() => browser.close());
afterEach(() => stand.close());

test('last time is filled in and mirrored, differences are named, nothing typed is lost', async () => {
  stand = await openStand(browser, MACHINE, 'tester');
  const { page, text, post, looksRight, daemon } = stand;
  const left = { ...LIMB, side: 'left', values: LEFT };
  await post('api/positions', { who: 'T1', body: left });
  await page.goto(`${daemon.url}tester/position`);
  const field = (name: string) => page.getByLabel(name, { exact: true });
  await page.getByRole('button', { name: 'Same as last time' }).waitFor();
  await expect.poll(() => page.locator('td.then').first().innerText()).toContain('75');
  await looksRight('position-empty');
  await page.keyboard.press('l');
  expect(await field('Turn').inputValue()).toBe('90');
  await text('mirrored').waitFor();
  await field('Backrest').fill('70');
  await field('Lever length').fill('9,5');
  await field('Support').fill('4');
  await text('3 settings differ').waitFor();
  const words = await page.locator('tbody tr').allInnerTexts();
  const difference = (name: string) =>
    words.find((row) => row.includes(name))?.replaceAll('\u00a0', ' ');
  expect(difference('Backrest')).toContain('≠ \u22125°');
  expect(difference('Lever length')).toContain('≠ +0.5 cm');
  expect(difference('Support')).toContain('≠ +1 mark');
  await looksRight('position-differs');

  // Nothing typed is lost on reload, and what is no number is told before it is kept.
  await page.reload();
  await expect.poll(() => field('Backrest').inputValue()).toBe('70');
  await field('Backrest').fill('7o');
  await text('a number is needed').waitFor();
  await page.keyboard.press('Enter');
  await field('Backrest').fill('70');
  await page.keyboard.press('Enter');
  await text('Kept. It goes into every recording').waitFor();
  const reply: unknown = await (await fetch(`${daemon.url}api/positions`)).json();
  expect(JSON.stringify(reply)).toContain('"side":"right"');
  expect(JSON.stringify(reply)).toContain('"Lever length":9.5');
});

test('checks are ticked in their order, kept over a reload, and the list is the station’s own', async () => {
  stand = await openStand(browser, MACHINE, 'tester/alignment');
  const { page, text, looksRight } = stand;
  await text('Straps are loose.').waitFor();
  await page.getByLabel('Straps are loose.').check();
  await text('1 of 7 done').waitFor();
  await looksRight('alignment');
  await page.reload();
  await text('1 of 7 done').waitFor();
  await page.getByRole('button', { name: 'Change the list' }).click();
  await page.getByRole('textbox').fill('Castors locked.\n\nStraps are loose.');
  await page.getByRole('button', { name: 'Keep the list' }).click();
  await text('1 of 2 done').waitFor();
  await page.reload();
  await text('Castors locked.').waitFor();
});
