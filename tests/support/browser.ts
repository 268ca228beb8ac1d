/** Finds a Chromium (environment, then the system) and opens pages in it for tests and benches. */
import { existsSync } from 'node:fs';
import { type Browser, chromium } from 'playwright-core';

const PLACES = ['/usr/bin/chromium', '/usr/bin/chromium-browser', '/usr/bin/google-chrome'];

export function findChromium(): string {
  const named = process.env['MOMENTARM_CHROMIUM'];
  const found = [...(named ? [named] : []), ...PLACES].find((path) => existsSync(path));
  if (!found) {
    throw new Error('no Chromium found: install it, or name one in MOMENTARM_CHROMIUM');
  }
  return found;
}

/** Headless; as root without the sandbox that root cannot have. */
export function openBrowser(args: readonly string[] = []): Promise<Browser> {
  const asRoot = process.getuid?.() === 0 ? ['--no-sandbox'] : [];
  return chromium.launch({
    executablePath: findChromium(),
    args: ['--disable-background-networking', '--force-color-profile=srgb', ...asRoot, ...args],
  });
}
