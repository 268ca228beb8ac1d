/** The built pages of the present sources, and what a browser test asks of a page. */
import { execFile } from 'node:child_process';
import { readdirSync, readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { promisify } from 'node:util';
import type { Page } from 'playwright-core';

const ROOT = join(import.meta.dirname, '..', '..');
const BUILT = join(ROOT, 'dist', 'web', 'index.html');
const AXE = readFileSync(join(ROOT, 'node_modules', 'axe-core', 'axe.min.js'), 'utf8');

/** Builds the pages when they are absent or older than what they are made of. */
export async function buildPages(): Promise<void> {
  if (modified(BUILT) > Math.max(...['web', 'shared'].map(newest))) return;
  const vite = join(ROOT, 'node_modules', 'vite', 'bin', 'vite.js');
  await promisify(execFile)(process.execPath, [vite, 'build', '--logLevel', 'warn'], { cwd: ROOT });
}

function newest(folder: string): number {
  const entries = readdirSync(join(ROOT, folder), { recursive: true, withFileTypes: true });
  const files = entries.filter((entry) => entry.isFile());
  return Math.max(...files.map((file) => modified(join(file.parentPath, file.name))));
}

function modified(path: string): number {
  return statSync(path, { throwIfNoEntry: false })?.mtimeMs ?? 0;
}

interface Finding {
  readonly id: string;
  readonly impact: string;
  readonly targets: readonly string[];
}

/** What axe calls serious or critical on the page as it is now. */
export async function seriousFindings(page: Page): Promise<readonly Finding[]> {
  await page.evaluate(AXE);
  return page.evaluate(async () => {
    const { axe } = globalThis as unknown as {
      axe: {
        run(): Promise<{
          violations: { id: string; impact: string; nodes: { html: string }[] }[];
        }>;
      };
    };
    const { violations } = await axe.run();
    return violations
      .filter(({ impact }) => impact === 'serious' || impact === 'critical')
      .map(({ id, impact, nodes }) => ({
        id,
        impact,
        targets: nodes.slice(0, 5).map(({ html }) => html.slice(0, 200)),
      }));
  });
}

/** Elements that stick out of the window, or text that is cut without an ellipsis. */
export async function overflow(page: Page): Promise<readonly string[]> {
  return page.evaluate(() => {
    const found: string[] = [];
    const root = document.documentElement;
    if (root.scrollWidth > window.innerWidth) found.push(`page is ${root.scrollWidth} px wide`);
    if (root.scrollHeight > window.innerHeight) found.push(`page is ${root.scrollHeight} px high`);
    for (const element of document.querySelectorAll(
      'button, a, h1, h2, dt, dd, td, th, label, p',
    )) {
      const box = element.getBoundingClientRect();
      const isHidden = box.width <= 1 || element.closest('.visually-hidden') !== null;
      if (isHidden) continue;
      const text = (element.textContent ?? '').trim().slice(0, 60);
      if (box.right > window.innerWidth + 1) found.push(`sticks out right: ${text}`);
      const style = getComputedStyle(element);
      const isCut = element.scrollWidth > element.clientWidth + 1 && style.display !== 'inline';
      const isCutOnPurpose = style.textOverflow === 'ellipsis' || style.overflowX === 'visible';
      if (isCut && !isCutOnPurpose) found.push(`cut: ${text}`);
      for (let frame = element.parentElement; frame; frame = frame.parentElement) {
        const isClipping = ['hidden', 'clip'].includes(getComputedStyle(frame).overflowX);
        if (!isClipping) continue;
        if (box.right > frame.getBoundingClientRect().right + 1) found.push(`covered: ${text}`);
        break;
      }
    }
    return found;
  });
}
