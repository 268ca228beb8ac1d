/** The subject's screen: follows the level, one thing at a time, calm when data are missing, no number. */
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { LaneEvent } from '../../shared/wire/events.ts';
import { openBrowser } from '../support/browser.ts';
import { type RunningDaemon, startDaemon } from '../support/daemon.ts';
import { buildPages, seriousFindings } from '../support/pages.ts';
import { Stage } from '../support/stage.ts';

const EFFORT: LaneEvent = {
  type: 'lane',
  form: 'climb',
  phase: 'effort',
  word: 'PUSH',
  done: 2,
  of: 5,
  limb: 0.9,
  way: -1,
};
/** The climb's own units: 786 from floor to top. */
const CLIMB_HEIGHT = 786;

let stage: Stage;
let browser: Browser;
let page: Page;

beforeAll(async () => {
  await buildPages();
  stage = await Stage.open();
  browser = await openBrowser();
  page = await browser.newPage({ viewport: { width: 1920, height: 1080 } });
  await page.goto(`${stage.url}/subject`);
});

afterAll(async () => {
  await browser.close();
  await stage.close();
});

const sleep = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms));
const height = async () => Number(await page.locator('rect.level').getAttribute('height'));

async function push(level: number, ms: number): Promise<void> {
  for (let t = 0; t < ms; t += 20) {
    stage.show({ type: 'level', level });
    await sleep(20);
  }
}

describe('the lane', () => {
  test('the level is as high as the effort, from floor to top', async () => {
    stage.show(EFFORT);
    for (const level of [0.25, 0.7, 1, 0]) {
      await push(level, 100);
      expect(await height()).toBeCloseTo(level * CLIMB_HEIGHT, 0);
    }
    await page.getByText('PUSH', { exact: true }).waitFor();
    expect(await page.locator('circle.done').count()).toBe(3);
  });

  test('without fresh data it says one moment within half a second, and shows no level', async () => {
    stage.show(EFFORT);
    const shown = page.evaluate(
      () =>
        new Promise<number>((resolve) => {
          const look = () => {
            const isLevel = document.querySelector('rect.level') !== null;
            const isMoment = document.querySelector('text.lead') !== null;
            if (isLevel) hasBeenLevel = true;
            if (hasBeenLevel && isMoment) resolve(Date.now());
            else requestAnimationFrame(look);
          };
          let hasBeenLevel = false;
          look();
        }),
    );
    await push(0.6, 300);
    const last_ms = Date.now() - 20;
    expect((await shown) - last_ms).toBeLessThanOrEqual(500);
    expect(await page.locator('rect.level').count()).toBe(0);
    await push(0.5, 60);
    await page.locator('rect.level').waitFor();
  });

  test('loss that the daemon tells is shown at once', async () => {
    await push(0.5, 100);
    stage.show({ type: 'level', level: null });
    await page.locator('text.lead').waitFor();
  });

  test.each([
    ['ready', 'READY'],
    ['rest', 'REST'],
    ['done', 'DONE'],
  ] as const)('%s shows its one word, and axe finds nothing serious', async (phase, word) => {
    stage.show({ ...EFFORT, phase, word });
    await page.locator('text.word').getByText(word, { exact: true }).waitFor();
    expect(await page.locator('text.word').count()).toBe(1);
    expect(await seriousFindings(page)).toEqual([]);
  });

  test('blank shows nothing at all', async () => {
    stage.show({ ...EFFORT, form: 'blank' });
    await page.locator('svg').waitFor({ state: 'detached' });
    expect((await page.locator('main').innerText()).replace('Subject', '').trim()).toBe('');
  });
});

describe('what reaches the subject from the real station', () => {
  let daemon: RunningDaemon;

  beforeAll(async () => {
    daemon = await startDaemon();
  });
  afterAll(() => daemon.stop());

  test('the wire carries form, word, dots and shares between 0 and 1; the screen no digit', async () => {
    const own = await browser.newPage();
    const heard: Record<string, unknown>[] = [];
    own.on('websocket', (socket) =>
      socket.on('framereceived', ({ payload }) => {
        heard.push(JSON.parse(String(payload)) as Record<string, unknown>);
      }),
    );
    await own.goto(`${daemon.url}subject`);
    await own.waitForTimeout(2500);
    expect(heard.length).toBeGreaterThan(10);
    const allowed = ['type', 'level', 'form', 'phase', 'word', 'done', 'of', 'limb', 'way'];
    for (const message of heard) {
      expect(Object.keys(message).filter((key) => !allowed.includes(key))).toEqual([]);
      const { level, limb } = message;
      for (const share of [level, limb]) {
        if (typeof share !== 'number') continue;
        expect(share).toBeGreaterThanOrEqual(0);
        expect(share).toBeLessThanOrEqual(1);
      }
    }
    expect(await own.locator('svg').textContent()).not.toMatch(/\d/);
    await own.close();
  });
});
