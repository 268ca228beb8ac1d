/**
 * P6: from a block's arrival at the daemon to the frame that shows its newest sample, with three pages
 * open and a recording running, beside a page that only listens. P7: what a redraw costs, beside the
 * plot library drawing every sample and a bare canvas. Rounds in turn; medians of the rounds.
 */
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { build } from 'vite';
import { openBrowser } from '../support/browser.ts';
import { startDaemon } from '../support/daemon.ts';
import { buildPages } from '../support/pages.ts';
import type { Redraws, Times } from './paint/redraw-page.ts';

const ROUNDS = 8;
const ROUND_MS = 3000;
const WARM_UP_MS = 1500;
const REDRAWS = 120;

const sleep = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms));
const print = (figure: object) => process.stdout.write(`${JSON.stringify(figure)}\n`);
const round = (value: number) => Math.round(value * 100) / 100;

function quantile(values: readonly number[], share: number): number {
  const sorted = values.toSorted((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? NaN;
}

/** Notes every block's stamp and the moment after the frame that follows it; runs before the page. */
function listenInPage(skew_ms: number): void {
  const waiting: number[] = [];
  const latencies: number[] = [];
  const now = () => performance.timeOrigin + performance.now();
  const Original = WebSocket;
  class Listening extends Original {
    constructor(url: string | URL) {
      super(url);
      this.addEventListener('message', ({ data }: MessageEvent<unknown>) => {
        if (data instanceof ArrayBuffer) waiting.push(new DataView(data).getFloat64(24, true));
      });
    }
  }
  window.WebSocket = Listening;
  const after = new MessageChannel();
  let shown: number[] = [];
  after.port1.onmessage = () => {
    for (const stamp of shown) latencies.push(now() - stamp - skew_ms);
    shown = [];
  };
  const frame = () => {
    shown.push(...waiting.splice(0));
    if (shown.length > 0) after.port2.postMessage(null);
    requestAnimationFrame(frame);
  };
  requestAnimationFrame(frame);
  Object.assign(window, { takeLatencies: () => latencies.splice(0) });
}

/** The daemon stamps with the clock of this machine that never steps; pages know only the wall's. */
function skewOfClocks(): number {
  const wall_ms = performance.timeOrigin + performance.now();
  return wall_ms - Number(process.hrtime.bigint()) / 1e6;
}

async function latenciesOf(page: Page): Promise<number[]> {
  await page.evaluate('takeLatencies()');
  await sleep(ROUND_MS);
  return page.evaluate<number[]>('takeLatencies()');
}

async function paintFigures(browser: Browser, rate_Hz: number): Promise<void> {
  const daemon = await startDaemon({ args: ['--source', `demo:?rate=${rate_Hz}`] });
  try {
    const size = { width: 1440, height: 900 };
    const skew_ms = skewOfClocks();
    const opened = async (path: string): Promise<Page> => {
      const page = await (await browser.newContext({ viewport: size })).newPage();
      // Names that the loader of the bench gives to functions do not exist in a page.
      await page.addInitScript('globalThis.__name = (named) => named;');
      await page.addInitScript(`(${listenInPage.toString()})(${skew_ms})`);
      await page.goto(daemon.url + path);
      return page;
    };
    await fetch(`${daemon.url}api/recordings`, {
      method: 'POST',
      headers: { 'Content-Type': 'application/json', Origin: daemon.url.slice(0, -1) },
      body: JSON.stringify({ name: 'bench' }),
    });
    const rounds: { full: readonly number[]; empty: readonly number[] }[] = [];
    for (let k = 0; k < ROUNDS; k += 1) {
      const tester = await opened('tester');
      const others = [await opened('subject'), await opened('research')];
      await sleep(WARM_UP_MS);
      const full = await latenciesOf(tester);
      for (const page of [tester, ...others]) await page.context().close();
      const empty = await opened('mark.svg');
      await empty.evaluate(() => {
        const socket = new WebSocket(`ws://${location.host}/live`);
        socket.binaryType = 'arraybuffer';
      });
      await sleep(WARM_UP_MS);
      rounds.push({ full, empty: await latenciesOf(empty) });
      await empty.context().close();
    }
    const median = (share: number, kind: 'full' | 'empty') =>
      quantile(
        rounds.map((one) => quantile(one[kind], share)),
        0.5,
      );
    const ratios = rounds.map(({ full, empty }) => quantile(full, 0.99) / quantile(empty, 0.99));
    print({
      figure: 'P6 sample to paint',
      rate_Hz,
      rounds: ROUNDS,
      blocks: rounds.reduce((sum, { full }) => sum + full.length, 0),
      p50_ms: round(median(0.5, 'full')),
      p99_ms: round(median(0.99, 'full')),
      empty_p50_ms: round(median(0.5, 'empty')),
      empty_p99_ms: round(median(0.99, 'empty')),
      ratio_p99: round(quantile(ratios, 0.5)),
      goal: 'p99 at most 38 ms and at most 1.1 times the empty page',
    });
  } finally {
    await daemon.stop();
  }
}

async function redrawFigures(browser: Browser): Promise<void> {
  const built = await build({
    configFile: false,
    logLevel: 'error',
    define: { 'process.env.NODE_ENV': '"production"' },
    build: {
      write: false,
      lib: {
        entry: join(import.meta.dirname, 'paint', 'redraw-page.ts'),
        formats: ['iife'],
        name: 'bench',
      },
    },
  });
  const [output] = Array.isArray(built) ? built : [built];
  const code = output && 'output' in output ? output.output[0].code : '';
  const page = await browser.newPage({ viewport: { width: 1440, height: 900 } });
  await page.setContent('<!doctype html><body></body>');
  await page.evaluate(code);
  for (const rate_Hz of [1000, 5000]) {
    const measured = await page.evaluate<Redraws>(`redraws(${rate_Hz}, ${REDRAWS})`);
    const median = (way: keyof Redraws, kind: keyof Times) => quantile(measured[way][kind], 0.5);
    const [ours, end, whole, bare] = (['ours', 'end', 'whole', 'bare'] as const).map((way) => ({
      script_ms: round(median(way, 'script_ms')),
      painted_ms: round(median(way, 'painted_ms')),
    }));
    print({
      figure: 'P7 redraw of 30 s, three curves',
      rate_Hz,
      every_frame: end,
      whole_sheet: ours,
      library_every_sample: whole,
      bare_canvas: bare,
      whole_sheet_of_library: round(median('ours', 'painted_ms') / median('whole', 'painted_ms')),
      every_frame_of_bare: round(median('end', 'painted_ms') / median('bare', 'painted_ms')),
      goal: 'at most 2 ms at 5 kHz',
    });
  }
  await page.close();
}

await buildPages();
const browser = await openBrowser();
try {
  await redrawFigures(browser);
  for (const rate_Hz of [1000, 5000]) await paintFigures(browser, rate_Hz);
} finally {
  await browser.close();
}
