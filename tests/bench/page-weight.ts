/**
 * P10, the pages' part: bytes of the first view of each page as they go over the wire compressed,
 * fonts apart, beside the least page that a component, the plot library and a socket make.
 */
import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { svelte } from '@sveltejs/vite-plugin-svelte';
import { build } from 'vite';
import { openBrowser } from '../support/browser.ts';
import { buildPages } from '../support/pages.ts';
import { Stage } from '../support/stage.ts';

const GOAL_KB = 90;
const ROOT = join(import.meta.dirname, '..', '..');

const kB = (bytes: number) => Math.round(bytes / 100) / 10;

/** A component with a counter, a plot, a socket: what the same tools make of almost nothing. */
async function leastPage_bytes(): Promise<number> {
  const folder = await mkdtemp(join(ROOT, 'node_modules', '.cache', 'least-page-'));
  await writeFile(join(folder, 'Page.svelte'), '<script>let n = $state(0);</script><p>{n}</p>');
  await writeFile(
    join(folder, 'main.ts'),
    `import { mount } from 'svelte'; import uPlot from 'uplot'; import Page from './Page.svelte';
     mount(Page, { target: document.body });
     const plot = new uPlot({ width: 9, height: 9, series: [{}, {}] }, [[0], [0]], document.body);
     new WebSocket('/live').onmessage = ({ data }) => plot.setData(data);`,
  );
  const built = await build({
    root: folder,
    configFile: false,
    logLevel: 'error',
    plugins: [svelte({ configFile: false, compilerOptions: { runes: true } })],
    build: { write: false, rollupOptions: { input: join(folder, 'main.ts') } },
  });
  await rm(folder, { recursive: true, force: true });
  const outputs = Array.isArray(built) ? built : [built];
  return outputs
    .flatMap((one) => ('output' in one ? one.output : []))
    .reduce((sum, part) => sum + gzipSync('code' in part ? part.code : part.source).length, 0);
}

await buildPages();
const least = await leastPage_bytes();
const stage = await Stage.open();
const browser = await openBrowser();
for (const path of ['/', '/tester', '/subject', '/research']) {
  const page = await browser.newPage();
  const sizes: { isFont: boolean; bytes: number }[] = [];
  const read: Promise<void>[] = [];
  page.on('response', (response) => {
    if (response.url().includes('/api/') || response.url().startsWith('ws')) return;
    const isFont = response.url().endsWith('.woff2');
    read.push(
      response.body().then((body) => {
        sizes.push({ isFont, bytes: isFont ? body.length : gzipSync(body).length });
      }),
    );
  });
  await page.goto(stage.url + path);
  await page.waitForTimeout(500);
  await Promise.all(read);
  const total = (isFont: boolean) =>
    sizes.filter((one) => one.isFont === isFont).reduce((sum, { bytes }) => sum + bytes, 0);
  const figure = {
    figure: 'page weight, compressed',
    path,
    kB: kB(total(false)),
    fonts_kB: kB(total(true)),
    least_page_kB: kB(least),
    of_least_page: Math.round((100 * total(false)) / least) / 100,
    goal: `at most ${GOAL_KB} kB without fonts`,
  };
  process.stdout.write(`${JSON.stringify(figure)}\n`);
  await page.close();
}
await browser.close();
stage.close();
