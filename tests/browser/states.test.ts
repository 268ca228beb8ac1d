/** Every page in every state it has: axe finds nothing serious, nothing sticks out, nothing complains. */
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { openBrowser } from '../support/browser.ts';
import { buildPages, overflow, seriousFindings } from '../support/pages.ts';
import { type Scene, SCENES } from '../support/scenes.ts';
import { Stage } from '../support/stage.ts';

const SIZES = [
  { width: 1440, height: 900 },
  { width: 1024, height: 768 },
  { width: 1920, height: 1080 },
];
/** Where to keep a picture of every state, when someone wants to look at them. */
const PICTURES = process.env['MOMENTARM_PICTURES'];

let browser: Browser;

beforeAll(async () => {
  await buildPages();
  browser = await openBrowser();
});
afterAll(() => browser.close());

async function show(scene: Scene, colorScheme: 'light' | 'dark') {
  const stage = await Stage.open();
  const context = await browser.newContext({ viewport: SIZES[0] ?? null, colorScheme });
  const page = await context.newPage();
  const complaints: string[] = [];
  page.on('pageerror', (error) => complaints.push(error.message));
  scene.prepare?.(stage);
  await page.goto(stage.url + scene.path);
  await scene.play?.(stage, page);
  return {
    page,
    complaints,
    close: async () => {
      await context.close();
      stage.close();
    },
  };
}

describe.each(['light', 'dark'] as const)('%s', (theme) => {
  test.each(SCENES.map((scene) => [scene.name, scene] as const))('%s', async (name, scene) => {
    const { page, complaints, close } = await show(scene, theme);
    try {
      expect(await seriousFindings(page)).toEqual([]);
      // Places do not depend on the theme: one of them tells all sizes.
      for (const size of theme === 'light' || PICTURES ? SIZES : []) {
        await page.setViewportSize(size);
        await page.waitForTimeout(60);
        if (PICTURES) {
          const file = `${name.replace(/\W+/g, '-')}-${size.width}-${theme}.png`;
          await page.screenshot({ path: `${PICTURES}/${file}` });
        }
        expect(await overflow(page), `${size.width} x ${size.height}`).toEqual([]);
      }
      expect(complaints).toEqual([]);
    } finally {
      await close();
    }
  });
});
