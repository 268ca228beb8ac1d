/** A recording by keyboard alone, over a reload in its middle, found again on the desk. */
import { readFile } from 'node:fs/promises';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { openBrowser } from '../support/browser.ts';
import { type RunningDaemon, startDaemon } from '../support/daemon.ts';
import { buildPages } from '../support/pages.ts';
import { geometryOf, inkOf } from '../support/sheet-pixels.ts';
import { TcpDevice } from '../support/tcp-device.ts';

const NAME = 'SH-03 morning & <b>quick</b>';

let device: TcpDevice;
let daemon: RunningDaemon;
let browser: Browser;
let page: Page;
const complaints: string[] = [];

beforeAll(async () => {
  await buildPages();
  device = await TcpDevice.open();
  daemon = await startDaemon({ args: ['--source', device.url] });
  browser = await openBrowser();
  const context = await browser.newContext({
    viewport: { width: 1440, height: 900 },
    colorScheme: 'light',
    acceptDownloads: true,
  });
  page = await context.newPage();
  page.on('pageerror', (error) => complaints.push(error.message));
  page.on('console', (line) => {
    if (line.type() === 'error') complaints.push(line.text());
  });
  await page.goto(`${daemon.url}tester`);
  await page.getByText('Live', { exact: true }).waitFor();
});

afterAll(async () => {
  await browser.close();
  await daemon.stop();
  await device.close();
});

const sleep = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms));

describe('a recording by keyboard', () => {
  test('R asks for a name in the page, Esc takes it back, Enter starts', async () => {
    await page.keyboard.press('r');
    const name = page.getByLabel('Name of the recording');
    await name.waitFor();
    expect(await name.inputValue()).toContain('SH-03');
    await page.keyboard.press('Escape');
    await name.waitFor({ state: 'detached' });
    expect((await daemon.health()).recording).toBeNull();

    await page.keyboard.press('r');
    await name.fill(NAME);
    await page.keyboard.press('Enter');
    await page.getByText(`Recording ${NAME}`).waitFor();
    await page.getByText('End recording').waitFor();
    await daemon.until(({ recording }) => recording !== null);
  });

  test('M puts a marker and says when', async () => {
    device.torque_Nm = 20;
    await sleep(400);
    await page.keyboard.press('m');
    await page.getByText(/^Marker 1 at 0:\d\d\.\d$/).waitFor();
  });

  test('the set-up is shut while recording, and says what opens it', async () => {
    await page.keyboard.press('s');
    expect(new URL(page.url()).pathname).toBe('/tester');
    const button = page.getByRole('button', { name: 'Set-up' });
    expect(await button.getAttribute('aria-disabled')).toBe('true');
    await page.getByRole('link', { name: 'Subject, joint, side' }).click();
    await page
      .getByText('A recording is running. The set-up opens when it ends.')
      .first()
      .waitFor();
    await page.keyboard.press('Escape');
    await page.locator('section.sheet').waitFor();
  });

  test('a reload loses nothing: the paper shows the set from its beginning', async () => {
    device.torque_Nm = -60;
    await sleep(800);
    device.torque_Nm = 0;
    await sleep(300);
    await page.reload();
    await page.getByText(`Recording ${NAME}`).waitFor();
    const { rows } = await geometryOf(page);
    const seesTheStep = async () => {
      const { columns } = await inkOf(page, '--torque-g', rows.torque);
      return {
        first: columns[0]?.x ?? Infinity,
        lowest: Math.max(...columns.map(({ bottom }) => bottom)),
        highest: Math.min(...columns.map(({ top }) => top)),
      };
    };
    await expect.poll(async () => (await seesTheStep()).first, { timeout: 8000 }).toBeLessThan(2);
    const { lowest, highest } = await seesTheStep();
    expect(lowest - highest).toBeGreaterThan((rows.torque.bottom - rows.torque.top) * 0.4);
  });

  test('R ends it; the paper is held and says that it is not live; C goes on', async () => {
    await page.keyboard.press('r');
    await page.getByText('The paper is held: these curves are not live.').waitFor();
    await daemon.until(({ recording }) => recording === null);
    await page.keyboard.press('c');
    await page.getByText('Not recording: nothing is kept').waitFor();
  });

  test('the desk lists it, with its name as text', async () => {
    await page.getByRole('link', { name: /^\d+ Recordings/ }).click();
    await page.getByRole('link', { name: NAME }).waitFor();
    const row = page.locator('tr.row').first();
    await row.getByText('whole').waitFor();
    await row.getByText('SH-03', { exact: true }).waitFor();
    expect(await page.locator('td b').count()).toBe(0);
  });

  test('opening it shows curves, state and a table to take out that holds every sample', async () => {
    await page.getByRole('link', { name: NAME }).click();
    await page.getByText('Whole: no damage was found in it.').waitFor();
    await page.locator('section.sheet .rows canvas').waitFor();
    await expect
      .poll(async () => (await inkOf(page, '--torque-g', { top: 40, bottom: 200 })).columns.length)
      .toBeGreaterThan(300);
    await page.getByRole('tab', { name: 'This recording' }).click();
    const wanted = page.waitForEvent('download');
    await page.getByRole('link', { name: 'Samples as CSV' }).click();
    const text = await readFile(await (await wanted).path(), 'utf8');
    const [header = '', ...lines] = text.trim().split('\n');
    const column = header.split(',').indexOf('torque_Nm');
    const lowest = Math.min(...lines.map((line) => Number(line.split(',')[column])));
    expect(lowest).toBe(-60);
  });

  test('zooming by key changes the address, and the address brings it back', async () => {
    await page.keyboard.press('+');
    await page.keyboard.press('+');
    await expect.poll(() => new URL(page.url()).searchParams.get('from')).not.toBeNull();
    const address = page.url();
    await page.goto(`${daemon.url}research`);
    await page.goto(address);
    await page.locator('section.sheet .rows canvas').waitFor();
    expect(page.url()).toBe(address);
    await page.keyboard.press('0');
    await expect.poll(() => new URL(page.url()).search).toBe('');
  });

  test('nothing complained on the way', () => {
    expect(complaints).toEqual([]);
  });
});
