/** A newcomer makes a code, a second screen comes in by six digits, and goes when its code is taken back. */
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { openBrowser } from '../support/browser.ts';
import { type RunningDaemon, startDaemon } from '../support/daemon.ts';
import { buildPages, seriousFindings } from '../support/pages.ts';

let daemon: RunningDaemon;
let browser: Browser;

beforeAll(async () => {
  await buildPages();
  browser = await openBrowser();
  daemon = await startDaemon();
});
afterAll(async () => {
  await browser.close();
  await daemon.stop();
});

test('the tester closes the station, and lets a subject’s screen in and out again', async () => {
  const tester = await (await browser.newContext()).newPage();
  await tester.goto(daemon.url);
  expect(await seriousFindings(tester)).toEqual([]);
  await tester.getByRole('button', { name: 'Make a tester’s code' }).click();
  await tester.getByText(/shown this once, write it down: [\w-]{22}$/).waitFor();
  await tester.getByRole('button', { name: 'Let a subject’s screen in' }).click();
  const said = await tester.getByText(/type \d{6} within/).textContent();
  const code = /type (\d{6})/.exec(said ?? '')?.[1] ?? '';
  expect(await seriousFindings(tester)).toEqual([]);

  const screen = await (await browser.newContext()).newPage();
  await screen.goto(daemon.url);
  await screen.getByLabel('This station asks for a code').fill(code);
  await screen.keyboard.press('Enter');
  await expect.poll(async () => (await screen.context().cookies()).length).toBe(1);
  await screen.goto(`${daemon.url}subject`);
  await screen
    .getByText('READY', { exact: true })
    .or(screen.getByText(/PU(SH|LL)/))
    .waitFor();
  const status = await screen.evaluate(async () => (await fetch('/api/setup')).status);
  expect(status).toBe(403);

  await tester.reload();
  const row = tester.getByRole('listitem').filter({ hasText: 'subject’s screen, made' });
  await row.getByRole('button', { name: 'Take it back' }).click();
  await screen.locator('text.lead').waitFor();
  // The tester's own page still works.
  await tester.goto(`${daemon.url}tester`);
  await tester.getByText('Live', { exact: true }).waitFor();
}, 40_000);
