/** From a byte on a TCP wire through the real daemon to a pixel: steps, gaps, silence, return. */
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { DEMO_SETUP } from '../../shared/wire/setup.ts';
import { yOf } from '../../web/lib/geometry.ts';
import { openBrowser } from '../support/browser.ts';
import { type RunningDaemon, startDaemon } from '../support/daemon.ts';
import { buildPages } from '../support/pages.ts';
import { geometryOf, inkOf } from '../support/sheet-pixels.ts';
import { TcpDevice } from '../support/tcp-device.ts';

const SHOWN_WITHIN_MS = 400;

let device: TcpDevice;
let daemon: RunningDaemon;
let browser: Browser;
let page: Page;

beforeAll(async () => {
  await buildPages();
  device = await TcpDevice.open();
  daemon = await startDaemon({ args: ['--source', device.url] });
  browser = await openBrowser();
  page = await browser.newPage({ viewport: { width: 1440, height: 900 }, colorScheme: 'light' });
  await page.goto(`${daemon.url}tester`);
  await daemon.until(({ source }) => source.state === 'live' && source.rate_Hz !== null);
  await page.getByText('Live', { exact: true }).waitFor();
});

afterAll(async () => {
  await browser.close();
  await daemon.stop();
  await device.close();
});

const sleep = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms));

/** Milliseconds of the wall clock at which the page's frame first matched. */
function whenOld(isOld: boolean): Promise<number> {
  return page.evaluate(
    (wanted) =>
      new Promise<number>((resolve) => {
        const look = () => {
          const isNow = document.querySelector('header.old') !== null;
          if (isNow === wanted) resolve(Date.now());
          else requestAnimationFrame(look);
        };
        look();
      }),
    isOld,
  );
}

/** The curve's ink; on a busy machine the page may be grey for a moment, because its data are old. */
async function torqueInk(row: { readonly top: number; readonly bottom: number }) {
  await expect
    .poll(async () => (await inkOf(page, '--torque-g', row)).columns.length)
    .toBeGreaterThan(20);
  return (await inkOf(page, '--torque-g', row)).columns;
}

describe('wire to pixel', () => {
  test('a step of torque on the wire is drawn at its height on the scale', async () => {
    await page.keyboard.press('c');
    device.torque_Nm = 0;
    await sleep(600);
    device.torque_Nm = -80;
    await sleep(600);
    device.torque_Nm = 30;
    await sleep(600);
    const { rows } = await geometryOf(page);
    const columns = await torqueInk(rows.torque);
    const heights = new Set(columns.map(({ top, bottom }) => Math.round((top + bottom) / 2)));
    for (const torque_Nm of [0, -80, 30]) {
      const expected = yOf(rows.torque, torque_Nm);
      const nearest = Math.min(...[...heights].map((y) => Math.abs(y - expected)));
      expect(nearest, `${torque_Nm} N·m at ${expected.toFixed(1)} px`).toBeLessThanOrEqual(1.5);
    }
    await page.locator('.margin .torque .value').filter({ hasText: /^30$/ }).waitFor();
    await page.locator('.margin .torque .unit').filter({ hasText: 'dorsiflexion' }).waitFor();
  });

  test('lost samples are a void as wide as they were long; no line crosses it', async () => {
    await page.keyboard.press('c');
    device.torque_Nm = -40;
    await sleep(800);
    device.lose(1000);
    await sleep(800);
    const { rows, time } = await geometryOf(page);
    const columns = await torqueInk(rows.torque);
    const xs = columns.map(({ x }) => x);
    const jumps = xs.slice(1).map((x, k) => ({ from: xs[k] ?? 0, width: x - (xs[k] ?? 0) }));
    const widest = jumps.reduce((most, jump) => (jump.width > most.width ? jump : most));
    const perSecond = (time.right - time.left) / DEMO_SETUP.sheet_s;
    expect(widest.width).toBeGreaterThan(perSecond - 3);
    expect(widest.width).toBeLessThan(perSecond + 4);
    const hatch = await inkOf(page, '--ink-3', rows.torque);
    const inside = hatch.columns.filter(
      ({ x }) => x > widest.from + 2 && x < widest.from + widest.width - 2,
    );
    expect(inside.length).toBeGreaterThan(perSecond * 0.5);
  });

  test('silence is the loudest thing on the page in time, and gone when samples return', async () => {
    const shown = whenOld(true);
    device.silence();
    const silentFrom_ms = device.lastWrite_ms;
    expect((await shown) - silentFrom_ms).toBeLessThanOrEqual(SHOWN_WITHIN_MS);
    await page.getByText(/^No data for \d+\.\d s$/).waitFor();
    await page.locator('.margin .torque').getByText('no data').waitFor();
    await page.locator('.margin').getByText('was 40 N·m').waitFor();
    await page
      .getByText('While data are missing, no flag does not mean no problem.')
      .first()
      .waitFor();
    const returned = whenOld(false);
    device.speak();
    await returned;
    await page.getByText('Live', { exact: true }).waitFor();
    expect(await page.locator('.margin').getByText('no data').count()).toBe(0);
  });

  test('a daemon that is killed is told, and its return is found without a reload', async () => {
    const { port, dataFolder } = daemon;
    const shown = whenOld(true);
    await daemon.stop('SIGKILL');
    await shown;
    await page.getByText('Station does not answer').waitFor();
    await page.getByText(/^Trying again, try \d+$/).waitFor();
    daemon = await startDaemon({
      dataFolder,
      args: ['--source', device.url, '--port', String(port)],
    });
    await page.getByText('Live', { exact: true }).waitFor({ timeout: 15_000 });
    expect(await page.locator('header.old').count()).toBe(0);
  });
});
