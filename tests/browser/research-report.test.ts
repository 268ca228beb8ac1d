/** A report on paper: one page of A4 and of Letter with its text in it, the same from page and command. */
import { existsSync } from 'node:fs';
import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { recordAnkleSet } from '../support/ankle-recording.ts';
import { openBrowser } from '../support/browser.ts';
import { type RunningDaemon, runProgram, startDaemon } from '../support/daemon.ts';
import { readPdf } from '../support/pdf.ts';
import { buildPages, seriousFindings } from '../support/pages.ts';

const RIGHT = '20261125T140000Z-aaaa';
const LEFT = '20261125T141500Z-bbbb';
const BEFORE = '20251126T090000Z-cccc';
const PICTURES = process.env['MOMENTARM_PICTURES'];
/** The longest code that a subject can have. */
const LONG = 'SH-08-with-the-longest-code-that';

let folder: string;
let daemon: RunningDaemon;
let browser: Browser;
let page: Page;
const many: string[] = [];

function conditions(subject: string, side: 'left' | 'right', speed_degps = 60) {
  const pattern = 'ankle-plantarflexion-dorsiflexion';
  return { subject, pattern, side, mode: 'isokinetic', speed_degps, repetitions: 5 } as const;
}

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'momentarm-report-'));
  const record = async (
    id: string,
    seed: number,
    startedAt: string,
    stated: ReturnType<typeof conditions>,
  ) => {
    const { subject } = stated;
    const more = { conditions: stated };
    await recordAnkleSet(folder, id, { seed, subject, startedAt, more, nRepetitions: 4 });
  };
  await record(BEFORE, 21, '2025-11-26T09:00:00.000Z', conditions('SH-03', 'right'));
  await record(RIGHT, 5, '2026-11-25T14:00:00.000Z', conditions('SH-03', 'right'));
  await record(LEFT, 9, '2026-11-25T14:15:00.000Z', conditions('SH-03', 'left'));
  for (let k = 0; k < 12; k += 1) {
    const id = `20261125T15${String(k).padStart(2, '0')}00Z-dd${String(k).padStart(2, '0')}`;
    const stated = conditions(LONG, k % 2 === 0 ? 'right' : 'left', 60 + 30 * (k >> 1));
    await record(id, 30 + k, `2026-11-25T15:${String(k).padStart(2, '0')}:00.000Z`, stated);
    many.push(id);
  }
  await buildPages();
  daemon = await startDaemon({ dataFolder: folder });
  browser = await openBrowser();
  page = await browser.newPage({ viewport: { width: 1440, height: 900 }, colorScheme: 'light' });
}, 120_000);
afterAll(async () => {
  await browser.close();
  await daemon.stop();
  await rm(folder, { recursive: true, force: true });
});

async function open(ids: readonly string[], paper: string): Promise<void> {
  await page.goto(`${daemon.url}research/report/${ids.join(',')}?paper=${paper}`);
  await page.locator('[data-report=ready]').waitFor();
}

describe('the report of a right and a left set, with last season on file', () => {
  test('answers the four questions, and axe finds nothing serious', async () => {
    await open([RIGHT, LEFT], 'a4');
    for (const question of ['How strong', 'How alike', 'How changed', 'How sure']) {
      await page.getByRole('heading', { name: question }).waitFor();
    }
    expect(await page.locator('h1').innerText()).toBe(
      'Ankle plantarflexion-dorsiflexion, right and left',
    );
    const text = await page.locator('main').innerText();
    expect(text).toContain('Practitioner, name and signature');
    expect(text).not.toMatch(/\b(deficit|normal|safe|abnormal|weak)\b/i);
    if (PICTURES) await page.locator('main').screenshot({ path: `${PICTURES}/report.png` });
    expect(await seriousFindings(page)).toEqual([]);
  });

  test('its numbers are the stored ones', async () => {
    const answer = await fetch(`${daemon.url}api/recordings/${RIGHT}/analysis`);
    const { sets } = (await answer.json()) as {
      sets: { direction: string; bestPeakTorque_Nm: number }[];
    };
    const text = await page.locator('main').innerText();
    for (const { bestPeakTorque_Nm } of sets) {
      expect(text).toContain(`right ${bestPeakTorque_Nm.toFixed(0)}`);
    }
  });

  test.each([
    ['a4', '595 x 842'],
    ['letter', '612 x 792'],
  ])('is one page of %s, its text selectable', async (paper, size) => {
    await open([RIGHT, LEFT], paper);
    const path = join(folder, `${paper}.pdf`);
    await page.pdf({ path, preferCSSPageSize: true, tagged: true });
    const pdf = readPdf(path);
    expect({ pages: pdf.pages, size: pdf.size }).toEqual({ pages: 1, size });
    expect(pdf.text).toContain('SH-03');
    expect(pdf.text).toContain('Measurements only: no diagnosis');
  });

  test.each(['a4', 'letter'])('12 sets of the longest code are one page of %s', async (paper) => {
    await open(many, paper);
    const path = join(folder, `many-${paper}.pdf`);
    await page.pdf({ path, preferCSSPageSize: true });
    const pdf = readPdf(path);
    if (PICTURES) await page.locator('main').screenshot({ path: `${PICTURES}/many.png` });
    expect(pdf.pages).toBe(1);
    expect(pdf.text).toContain(LONG);
    expect(pdf.text).toContain('210');
  });
});

describe('the command', () => {
  test('prints the same page; while a station runs on the folder it says so', async () => {
    const out = join(folder, 'out.pdf');
    const args = ['report', RIGHT, LEFT, '--data', folder, '--out', out];
    const refused = await runProgram(args);
    expect(refused.code).toBe(2);
    expect(refused.err.trim().split('\n')).toHaveLength(1);
    await daemon.stop();
    const done = await runProgram(args);
    expect(done.err).toBe('');
    expect(done.code).toBe(0);
    const pdf = readPdf(out);
    expect(pdf.pages).toBe(1);
    expect(pdf.size).toBe('595 x 842');
    for (const words of ['SH-03', 'How strong', 'How sure', 'right and left']) {
      expect(pdf.text).toContain(words);
    }
    expect((await readFile(out)).subarray(0, 5).toString()).toBe('%PDF-');
  });

  test('without a Chromium, or for what is not there, it says one plain line', async () => {
    const out = join(folder, 'none.pdf');
    const unknown = await runProgram(['report', 'nobody', '--data', folder, '--out', out]);
    expect(unknown.err.trim()).toBe('momentarm report: nobody: no such recording or session');
    const two = await runProgram(['report', RIGHT, many[0] ?? '', '--data', folder, '--out', out]);
    expect(two.code).toBe(2);
    expect(two.err).toContain('These recordings are not of one subject and one joint pattern.');
    const env = process.env['MOMENTARM_CHROMIUM'];
    process.env['MOMENTARM_CHROMIUM'] = join(folder, 'no-browser');
    const bare = await runProgram(['report', RIGHT, '--data', folder, '--out', out]);
    if (env === undefined) delete process.env['MOMENTARM_CHROMIUM'];
    else process.env['MOMENTARM_CHROMIUM'] = env;
    expect(bare.code).toBe(2);
    expect(bare.err.trim()).toBe(
      'momentarm report: no Chromium found: install it, or name one in MOMENTARM_CHROMIUM',
    );
    expect(existsSync(out)).toBe(false);
  });
});
