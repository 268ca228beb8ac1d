/** The subject's screen: follows the level, one thing at a time, calm when data are missing, no number. */
import type { Browser, Locator, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { LaneEvent } from '../../shared/wire/events.ts';
import {
  corridorOf,
  degreeOf,
  FIRST_SCREEN,
  leastFont_mm,
  scaleOf,
} from '../../shared/session/screen.ts';
import { openBrowser } from '../support/browser.ts';
import { type RunningDaemon, startDaemon } from '../support/daemon.ts';
import { buildPages, seriousFindings } from '../support/pages.ts';
import { litRows } from '../support/picture.ts';
import { Stage } from '../support/stage.ts';

const EFFORT: Extract<LaneEvent, { type: 'lane' }> = {
  type: 'lane',
  form: 'climb',
  phase: 'effort',
  word: 'PUSH',
  seconds: null,
  passed: 0,
  done: 2,
  of: 5,
  limb: 0.9,
  way: -1,
  best: null,
  target: null,
  isMirrored: false,
  font: 0.04,
  degree: 0.02,
};

/** Sizes as the daemon tells them for a picture 531 mm wide. */
function sizesAt(distance_m: number) {
  const screen = { ...FIRST_SCREEN, distance_m };
  return { font: leastFont_mm(distance_m) / screen.width_mm, degree: degreeOf(screen) };
}
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
  stage.close();
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

describe('sizes for the eye', () => {
  /** 531 mm of picture on 1920 px, as a 24 inch screen has it. */
  const PITCH_MM = 531 / 1920;

  test('the big words come in the bundled face, not in a fallback', async () => {
    stage.show({ ...EFFORT, phase: 'ready', word: 'READY' });
    const word = page.locator('text.word').getByText('READY', { exact: true });
    await word.waitFor();
    const session = await page.context().newCDPSession(page);
    await session.send('DOM.enable');
    await session.send('CSS.enable');
    const { root } = await session.send('DOM.getDocument');
    const { nodeId } = await session.send('DOM.querySelector', {
      nodeId: root.nodeId,
      selector: 'text.word',
    });
    const { fonts } = await session.send('CSS.getPlatformFontsForNode', { nodeId });
    expect(fonts.map(({ familyName, isCustomFont }) => [familyName, isCustomFont])).toEqual([
      [expect.stringContaining('Atkinson Hyperlegible Next'), true],
    ]);
  });

  test.each([1, 2, 3])('at %i m every letter shown is 20 arcmin high', async (distance_m) => {
    stage.show({ ...EFFORT, phase: 'ready', word: 'READY', ...sizesAt(distance_m) });
    await page.locator('text.word').getByText('READY', { exact: true }).waitFor();
    // The definition of the visual angle: height = 2 d tan(angle / 2).
    const least_px = (2000 * distance_m * Math.tan(Math.PI / 180 / 6)) / PITCH_MM;
    await expect
      .poll(async () => (await page.locator('text.note').count()) === (distance_m <= 2 ? 1 : 0))
      .toBe(true);
    const rows = await inkRows(page.locator('text.word'));
    expect(rows).toBeGreaterThanOrEqual(least_px);
    if (distance_m <= 2) {
      // Capital and ascender; the line "As hard and as fast as you can" has no lower part.
      expect(await inkRows(page.locator('text.note'))).toBeGreaterThanOrEqual(least_px);
    }
  });

  test.each([1, 2, 3])('at %i m half a band is one degree or more', async (distance_m) => {
    const screen = {
      ...FIRST_SCREEN,
      ...{ form: 'corridor' as const, distance_m, band_pct: 5 },
      target: { kind: 'torque' as const, torque_Nm: 40 },
    };
    const target = corridorOf(screen, scaleOf(screen, 120));
    if (!target) throw new Error('no corridor');
    const degree_px = (2000 * distance_m * Math.tan(Math.PI / 360)) / PITCH_MM;
    stage.show({
      ...{ ...EFFORT, form: 'corridor', word: 'FOLLOW', ...sizesAt(distance_m) },
      target: { ...target, at_s: 0 },
    });
    const ring = page.locator('circle.ring');
    let level = 0.5;
    const pushing = setInterval(() => stage.show({ type: 'level', level }), 20);
    try {
      await ring.waitFor({ state: 'attached' });
      await sleep(100);
      const picture = await page.screenshot();
      // Between the now-line and the dots, where nothing but the band is lit.
      const half_px = (await litRows(browser, picture, { above: 60, x: 1200 })) / 2;
      expect(half_px).toBeGreaterThanOrEqual(degree_px - 1);
      expect(half_px).toBeLessThan(1.1 * degree_px + 6);
      // Inside the band the disc has its ring; outside it has none, and the line is dashed.
      expect(await ring.getAttribute('visibility')).toBe('visible');
      level = 0.95;
      await expect.poll(() => ring.getAttribute('visibility')).toBe('hidden');
    } finally {
      clearInterval(pushing);
    }
  });

  test('mirrored turns the picture, rest shows its seconds, and the best mark only when told', async () => {
    stage.show({
      ...EFFORT,
      phase: 'rest',
      word: 'REST',
      seconds: 38,
      passed: 0.4,
      isMirrored: true,
    });
    await page.locator('text.seconds').getByText('38', { exact: true }).waitFor();
    const turned = await page.locator('svg').evaluate((svg) => getComputedStyle(svg).transform);
    expect(turned).toBe('matrix(-1, 0, 0, 1, 0, 0)');
    stage.show(EFFORT);
    await push(0.5, 60);
    expect(await page.locator('path.best').count()).toBe(0);
    stage.show({ ...EFFORT, best: 0.8 });
    await push(0.5, 60);
    expect(await page.locator('path.best').count()).toBe(1);
  });
});

/** Rows of pixels that hold ink of an element, as it is on the screen. */
async function inkRows(element: Locator): Promise<number> {
  const clip = await element.boundingBox();
  return clip ? litRows(browser, await page.screenshot({ clip }), { above: 100 }) : 0;
}

describe('what reaches the subject from the real station', () => {
  let daemon: RunningDaemon;

  beforeAll(async () => {
    daemon = await startDaemon();
  });
  afterAll(() => daemon.stop());

  test('the wire carries form, word, dots and shares between 0 and 1; the ready screen no digit', async () => {
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
    const allowed = [...Object.keys(EFFORT), 'level'];
    for (const message of heard) {
      expect(Object.keys(message).filter((key) => !allowed.includes(key))).toEqual([]);
      const { level, limb, best } = message;
      for (const share of [level, limb, best]) {
        if (typeof share !== 'number') continue;
        expect(share).toBeGreaterThanOrEqual(0);
        expect(share).toBeLessThanOrEqual(1);
      }
    }
    expect(await own.locator('svg').textContent()).not.toMatch(/\d/);
    await own.close();
  });
});
