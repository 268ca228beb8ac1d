/**
 * Calibrating with known masses as a technician does it, against the emulated machine in which the third
 * mass is not what is stamped on it and the fifth swings: both are named, and the slope comes out right.
 */
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser } from 'playwright-core';
import * as v from 'valibot';
import { afterAll, afterEach, beforeAll, expect, test } from 'vitest';
import { HANGER_ARM_M, STAMPED_KG, THIRD_KG } from '../../shared/simulation/masses.ts';
import type { Wiring } from '../../shared/wiring/schema.ts';
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

/** Of the machine's torque output: 10 V at 250 N·m, 16 bits over ±10 V. */
const TRUE_SLOPE = (250 / 10) * (20 / 65_536);
/** A station that was wired by somebody who took the wrong range: a tenth off. */
const wrong = (wiring: Wiring): Wiring => ({
  ...wiring,
  channels: wiring.channels.map((channel) =>
    channel.quantity === 'torque' ? { ...channel, slope: 1.1 * (channel.slope ?? 1) } : channel,
  ),
});

const view = v.object({
  calibration: v.nullable(
    v.object({
      readings: v.array(v.looseObject({})),
      loads: v.array(v.object({ number: v.number(), turning: v.number() })),
      live_Nm: v.nullable(v.number()),
      waiting_s: v.nullable(v.number()),
    }),
  ),
});

/** Torque that really hangs on the lever for a load. */
function trueTorque({ number, turning }: { number: number; turning: number }): number {
  const stamped = STAMPED_KG[number - 1] ?? 0;
  return turning * (number === 3 ? THIRD_KG : stamped) * 9.80665 * HANGER_ARM_M;
}

test('both spoilt loads are named, one is left out, and the slope is right within 0.2 %', async () => {
  const machine = { script: 'rest:30,masses:10,rest:600', speedFactor: 5, on: 'serial' } as const;
  stand = await openStand(browser, { ...machine, rewire: wrong }, 'tester/calibration');
  const { page, text, looksRight, daemon } = stand;
  const now = async () => {
    const reply: unknown = await (await fetch(`${daemon.url}api/preparation`)).json();
    return v.parse(view, reply).calibration;
  };
  await text('This station has no calibration on file.').waitFor();
  // Masses in the wrong order are told before anything is hung on; what was typed stays over a reload.
  await page.getByLabel('Masses, kg').fill('5, 15, 10, 20, 25');
  await page.getByLabel('Largest torque to be measured').fill('110');
  await page.getByRole('button', { name: 'Start' }).click();
  await text('The masses must rise').waitFor();
  await page.getByLabel('Masses, kg').fill('5, 10, 15, 20, 25');
  await page.reload();
  await expect.poll(() => page.getByLabel('Largest torque').inputValue()).toBe('110');
  await page.getByRole('button', { name: 'Start' }).click();
  await text('Take everything off, then read.').waitFor();

  const loads = (await now())?.loads ?? [];
  expect(loads).toHaveLength(21);
  for (const [k, load] of loads.entries()) {
    // The technician reads when the load hangs; before there is a line the reading is a tenth too large.
    const wanted = trueTorque(load);
    await expect
      .poll(async () => Math.abs(((await now())?.live_Nm ?? 1e9) - wanted), {
        timeout: 20_000,
        interval: 30,
      })
      .toBeLessThan(2 + 0.12 * Math.abs(wanted));
    await page.keyboard.press('Enter');
    await expect
      .poll(async () => (await now())?.readings.length, { timeout: 20_000, interval: 30 })
      .toBe(k + 1);
    if (k === 5) await looksRight('calibration-under-way');
  }
  await text('Mass 3 is stated as 15 kg; the others make it 1').waitFor();
  await text('Mass 5 (25 kg) swung by').waitFor();
  await looksRight('calibration-named');
  await page.keyboard.press('Enter');
  await page.waitForTimeout(300);
  expect(existsSync(join(daemon.dataFolder, 'calibrated-wiring.json'))).toBe(false);

  await page.getByRole('button', { name: 'Leave out mass 3' }).click();
  await text('Every limit is met: it can be used.').waitFor();
  await looksRight('calibration-accepted');
  await page.keyboard.press('Enter');
  await text('Calibrated on').waitFor();
  const kept = v.parse(
    v.object({ wiring: v.object({ channels: v.array(v.looseObject({ slope: v.number() })) }) }),
    JSON.parse(readFileSync(join(daemon.dataFolder, 'calibrated-wiring.json'), 'utf8')),
  );
  const slope = kept.wiring.channels[0]?.slope ?? 0;
  expect(Math.abs(slope / TRUE_SLOPE - 1)).toBeLessThan(0.002);
});
