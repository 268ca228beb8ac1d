/** The subject's facts and the screening: kept in the catalogue, not lost on reload, cautions in words. */
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

test('body mass and pain are kept, a screening answer defers to the practitioner', async () => {
  const machine = { script: 'rest:600', speedFactor: 1, on: 'tcp' } as const;
  stand = await openStand(browser, machine, 'tester/subject');
  const { page, text, looksRight, daemon } = stand;
  const mass = page.getByLabel('Body mass', { exact: true });
  await mass.fill('790');
  await text('A body mass lies between 1 and 500 kg.').waitFor();
  await mass.fill('79');
  await page.getByLabel('Pain before the test').fill('4');
  await text('Pain 4 of 10 before the test').waitFor();
  await page.reload();
  await expect.poll(() => mass.inputValue()).toBe('79');
  await page
    .getByLabel('Acute sprain, strain, swelling or inflammation here')
    .selectOption('yes, not cleared');
  await text('The licensed practitioner decides.').waitFor();
  await mass.press('Enter');
  const items = async (plural: string) =>
    JSON.stringify(await (await fetch(`${daemon.url}api/${plural}`)).json());
  await expect.poll(() => items('subjects')).toContain('"bodyMass_kg":79');
  await expect.poll(() => items('sessions')).toContain('"painBefore":4');
  expect(await items('sessions')).toContain('yes, not cleared');
  await looksRight('subject');
});
