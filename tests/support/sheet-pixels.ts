/** Looks at the pixels of the tester's sheet: where ink of a colour is, in CSS pixels of the plot. */
import type { Page } from 'playwright-core';
import { DEMO_SETUP } from '../../shared/wire/setup.ts';
import { sheetGeometry, type SheetGeometry } from '../../web/lib/geometry.ts';
import { scalesFor } from '../../web/lib/scales.ts';

/** Geometry of the sheet as it is on the page, for the set-up of the demo. */
export async function geometryOf(page: Page): Promise<SheetGeometry> {
  const size = await page.locator('section.sheet').evaluate((sheet) => ({
    width: sheet.clientWidth,
    height: sheet.clientHeight,
  }));
  return sheetGeometry(size.width, size.height, scalesFor(DEMO_SETUP));
}

export interface Ink {
  /** Columns of the plot that hold the colour, with the least and largest height of it. */
  readonly columns: readonly {
    readonly x: number;
    readonly top: number;
    readonly bottom: number;
  }[];
}

/** Where a token's colour is in the rows [top, bottom) of the plot; anti-aliased edges are left out. */
export async function inkOf(
  page: Page,
  token: string,
  band: { readonly top: number; readonly bottom: number },
): Promise<Ink> {
  return page.locator('section.sheet .rows').evaluate(
    (host, { token: name, band: { top, bottom } }) => {
      const layers = [...host.querySelectorAll('canvas')];
      const [lowest] = layers;
      if (!lowest) throw new Error('no canvas');
      const canvas = new OffscreenCanvas(lowest.width, lowest.height);
      const ctx = canvas.getContext('2d');
      if (!ctx) throw new Error('no context');
      const { left } = lowest.getBoundingClientRect();
      for (const layer of layers) {
        const at = layer.getBoundingClientRect().left - left;
        ctx.drawImage(layer, (at * lowest.width) / lowest.clientWidth, 0);
      }
      const style = getComputedStyle(document.documentElement).getPropertyValue(name).trim();
      const wanted = [1, 3, 5].map((at) => parseInt(style.slice(at, at + 2), 16));
      const ratio = canvas.width / lowest.clientWidth;
      const from = Math.round(top * ratio);
      const rows = Math.round(bottom * ratio) - from;
      const { data } = ctx.getImageData(0, from, canvas.width, rows);
      const columns: { x: number; top: number; bottom: number }[] = [];
      for (let x = 0; x < canvas.width; x += 1) {
        let first = -1;
        let last = -1;
        for (let y = 0; y < rows; y += 1) {
          const at = 4 * (y * canvas.width + x);
          const isInk = wanted.every((value, k) => Math.abs((data[at + k] ?? 0) - value) < 24);
          if (!isInk || (data[at + 3] ?? 0) < 200) continue;
          if (first < 0) first = y;
          last = y;
        }
        if (first < 0) continue;
        columns.push({
          x: x / ratio,
          top: (first + from) / ratio,
          bottom: (last + 1 + from) / ratio,
        });
      }
      return { columns };
    },
    { token, band },
  );
}
