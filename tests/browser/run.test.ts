/** A run of sets by keyboard alone against the emulated machine: a reload in the set, a second page, decisions. */
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { openBrowser } from '../support/browser.ts';
import { type RunningDaemon, startDaemon } from '../support/daemon.ts';
import { buildPages, overflow, seriousFindings } from '../support/pages.ts';

/** Each set of the plan finds the machine moving: eight repetitions, a pause, and again. */
const SOURCE = 'demo:?script=rest:4,isokinetic:60x8,rest:14';
const SET_PATIENCE = { timeout: 40_000 };

let daemon: RunningDaemon;
let browser: Browser;
let page: Page;

beforeAll(async () => {
  await buildPages();
  browser = await openBrowser();
  daemon = await startDaemon({ args: ['--source', SOURCE] });
  await fetch(`${daemon.url}api/setup`, {
    method: 'PUT',
    headers: { 'Content-Type': 'application/json' },
    body: JSON.stringify({
      ...((await (await fetch(`${daemon.url}api/setup`)).json()) as object),
      repetitions: 8,
    }),
  });
  page = await browser.newPage({ viewport: { width: 1440, height: 900 } });
  await page.goto(`${daemon.url}tester`);
  await page.getByText('Live', { exact: true }).waitFor();
});

afterAll(async () => {
  await browser.close();
  await daemon.stop();
});

const heading = (name: string | RegExp) => page.getByRole('heading', { level: 1, name });

describe('a run by keyboard', () => {
  test('G and Enter plan it, Space counts it in, a second Space takes that back', async () => {
    await page.keyboard.press('g');
    await page.getByText('Which sets?').waitFor();
    expect(await seriousFindings(page)).toEqual([]);
    await page.keyboard.press('Enter');
    await heading('Ready').waitFor();
    await page.keyboard.press(' ');
    await heading('Starts in').waitFor();
    await page.keyboard.press(' ');
    await heading('Ready').waitFor();
    expect((await daemon.health()).recording).toBeNull();
  });

  test('a key shows its effect at once', async () => {
    const took_ms = await page.evaluate(async () => {
      const begin = performance.now();
      window.dispatchEvent(new KeyboardEvent('keydown', { key: ' ' }));
      while (document.querySelector('h1')?.textContent.trim() !== 'Starts in') {
        await new Promise(requestAnimationFrame);
      }
      return performance.now() - begin;
    });
    // A second, so that only waiting for the next regular state or a stall fails it on a loaded machine.
    expect(took_ms).toBeLessThan(1_000);
  });

  test('the set survives a reload, and a second page joins it with everything there', async () => {
    await page.getByRole('button', { name: 'End set' }).waitFor();
    await daemon.until(({ recording }) => recording !== null, 10_000);
    await page.getByRole('row', { name: /1 (counts|best)/ }).waitFor(SET_PATIENCE);
    await page.reload();
    const second = await browser.newPage({ viewport: { width: 1024, height: 768 } });
    await second.goto(`${daemon.url}tester`);
    for (const one of [page, second]) {
      await one.getByText('Set 1 of 3').waitFor();
      await one.getByRole('row', { name: /1 (counts|best)/ }).waitFor();
      await one.getByRole('button', { name: 'End set' }).waitFor();
    }
    expect(await overflow(page)).toEqual([]);
    expect(await overflow(second)).toEqual([]);
    expect(await seriousFindings(second)).toEqual([]);
    await second.close();
  }, 60_000);

  test('it ends by count, and the rest runs down; figures stand without a verdict', async () => {
    await heading('Rest').waitFor(SET_PATIENCE);
    await page.getByText(/best two plantarflexion \d+ and \d+/).waitFor();
    await page.getByText(/apart, limit 10/).waitFor();
    expect(await seriousFindings(page)).toEqual([]);
    expect(await overflow(page)).toEqual([]);
  }, 60_000);

  test('X rejects the last or the selected repetition, Z takes it back', async () => {
    await page.getByText('settled', { exact: true }).waitFor();
    await page.getByRole('button', { name: 'Reject 8' }).waitFor();
    await page.keyboard.press('ArrowUp');
    await page.getByRole('button', { name: 'Reject 7' }).waitFor();
    await page.keyboard.press('x');
    await page.getByRole('row', { name: /7 does not count/ }).waitFor();
    await page.getByRole('button', { name: 'Restore 7' }).waitFor();
    await page.keyboard.press('z');
    await page.getByRole('row', { name: /7 (counts|best)/ }).waitFor();
  });

  test('P, arrows: pain and exertion are kept with the set', async () => {
    await page.keyboard.press('p');
    for (let k = 0; k < 3; k += 1) await page.keyboard.press('ArrowRight');
    await expect
      .poll(async () => (await (await fetch(`${daemon.url}api/notes`)).text()).includes('pain 3'))
      .toBe(true);
    const kept = page.getByRole('group', { name: /Pain/ }).getByRole('radio', { checked: true });
    expect(await kept.count()).toBe(1);
  });

  test('E ends the next set at once and asks why; a digit answers; Q aborts', async () => {
    await page.evaluate(() => (document.activeElement as HTMLElement).blur());
    await page.keyboard.press(' ');
    await daemon.until(({ recording }) => recording !== null, 10_000);
    await page.getByText('Set 2 of 3').waitFor();
    await heading(/Still|Plantarflexion|Dorsiflexion/).waitFor();
    await page.keyboard.press('e');
    await page.getByText('Ended early. Why?').waitFor();
    expect(await overflow(page)).toEqual([]);
    await page.keyboard.press('2');
    await page.getByText('Ended early. Why?').waitFor({ state: 'detached' });
    const run = (await (await fetch(`${daemon.url}api/run`)).json()) as {
      outcomes: { how: string; reason: string | null }[];
    };
    expect(run.outcomes.at(-1)).toMatchObject({ how: 'early', reason: 'strap' });
  });
});
