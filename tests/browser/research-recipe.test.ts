/** A recipe tried beside the stored one: computed in the page, kept in the catalogue, and the daemon agrees. */
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { recordAnkleSet } from '../support/ankle-recording.ts';
import { openBrowser } from '../support/browser.ts';
import { type RunningDaemon, startDaemon } from '../support/daemon.ts';
import { buildPages, overflow, seriousFindings } from '../support/pages.ts';

const ID = '20261125T140000Z-ab12';
/** Where to keep pictures, when someone wants to look at them. */
const PICTURES = process.env['MOMENTARM_PICTURES'];

let folder: string;
let daemon: RunningDaemon;
let browser: Browser;
let page: Page;
const complaints: string[] = [];

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'momentarm-research-'));
  await recordAnkleSet(folder, ID, { seed: 3, subject: 'SH-03' });
  await buildPages();
  daemon = await startDaemon({ dataFolder: folder });
  browser = await openBrowser();
  page = await browser.newPage({ viewport: { width: 1440, height: 900 }, colorScheme: 'light' });
  page.on('pageerror', (error) => complaints.push(error.message));
  await page.goto(`${daemon.url}research/${ID}`);
});
afterAll(async () => {
  await browser.close();
  await daemon.stop();
  await rm(folder, { recursive: true, force: true });
});

const stored = async () =>
  (await (await fetch(`${daemon.url}api/recordings/${ID}/analysis`)).json()) as {
    recipe: { hash: string; conditioning: { torqueLowpass_Hz: number } };
    phases: { direction: string; repetition: number; peakTorque_Nm: number }[];
  };
const firstPeaks = async () => {
  const { phases } = await stored();
  const first = phases.filter(({ repetition }) => repetition === 1);
  return first.map(({ peakTorque_Nm }) => peakTorque_Nm.toFixed(1));
};
const row = (name: string) => page.locator('tbody tr', { hasText: name }).first();

describe('a recipe on trial', () => {
  test('names every value with its unit, range and where its default is from', async () => {
    const cutOff = page.getByLabel('Torque lowpass', { exact: true });
    await cutOff.waitFor();
    expect(await cutOff.inputValue()).toBe('15');
    await page.getByText('0.1 to 1 000 Hz; default 15 Hz: chosen here').first().waitFor();
    await page.getByText(/^recipe [0-9a-f]{12}$/).waitFor();
    if (PICTURES) await page.screenshot({ path: `${PICTURES}/recipe-stored.png` });
    expect(await seriousFindings(page)).toEqual([]);
  });

  test('a changed value is answered in the page; A is what is stored', async () => {
    await page.getByRole('button', { name: 'Show repetition 1' }).first().click();
    await page.getByLabel('Torque lowpass', { exact: true }).fill('3');
    await page.getByText(/^answered in \d+\sms$/).waitFor();
    await page.getByText('1 differs').waitFor();
    const peak = row('Peak torque N·m');
    await peak.waitFor();
    const [first = ''] = await firstPeaks();
    expect(await peak.locator('td').nth(0).innerText()).toBe(first);
    expect(await peak.locator('td').nth(1).innerText()).not.toBe(first);
    expect(await peak.locator('td').nth(2).innerText()).toMatch(/^\u2212\d/);
    await page.getByRole('img', { name: 'Difference of the two torque curves' }).waitFor();
    if (PICTURES) await page.screenshot({ path: `${PICTURES}/recipe-trial.png` });
    expect(await seriousFindings(page)).toEqual([]);
    expect(await overflow(page)).toEqual([]);
  });

  test('what the recipe does not take is told, and changes nothing', async () => {
    await page.getByLabel('Torque lowpass', { exact: true }).fill('-1');
    await page.getByRole('alert').getByText('torqueLowpass_Hz').waitFor();
    await page.getByLabel('Torque lowpass', { exact: true }).fill('3');
    await page.getByRole('alert').waitFor({ state: 'detached' });
  });

  test('back to A leaves nothing behind', async () => {
    await page.getByRole('button', { name: 'Back to A' }).click();
    expect(await page.getByLabel('Torque lowpass', { exact: true }).inputValue()).toBe('15');
    await page.getByText('Change a value: the set is computed again').waitFor();
  });

  test('keeping B makes the daemon compute the very numbers the page showed', async () => {
    await page.getByLabel('Torque lowpass', { exact: true }).fill('3');
    const peak = row('Peak torque N·m');
    await peak.waitFor();
    const shown = await peak.locator('td').nth(1).innerText();
    await page.getByLabel('Your code').fill('T-1');
    await page.getByRole('button', { name: 'Keep B' }).click();
    await expect.poll(async () => (await stored()).recipe.conditioning.torqueLowpass_Hz).toBe(3);
    expect((await firstPeaks())[0]).toBe(shown);
    const { recipe } = await stored();
    await page.getByText(`recipe ${recipe.hash.slice(0, 12)}`).waitFor();
    await page.getByRole('button', { name: 'Show repetition 1' }).first().waitFor();
  });

  test('after a reload it is the stored one, and a second change is kept over it', async () => {
    await page.reload();
    const cutOff = page.getByLabel('Torque lowpass', { exact: true });
    await cutOff.waitFor();
    expect(await cutOff.inputValue()).toBe('3');
    await cutOff.fill('20');
    await page.getByText('1 differs').waitFor();
    await page.getByLabel('Your code').fill('T-1');
    await page.getByRole('button', { name: 'Keep B' }).click();
    await expect.poll(async () => (await stored()).recipe.conditioning.torqueLowpass_Hz).toBe(20);
    expect(complaints).toEqual([]);
  });
});
