/** Rows of a screenshot that hold light, counted in a blank page of the browser: no other decoder is needed. */
import type { Browser } from 'playwright-core';

export interface LitRows {
  /** Brightest channel above this is lit. */
  readonly above: number;
  /** Only this column; all of them when left out. */
  readonly x?: number;
}

export async function litRows(browser: Browser, png: Buffer, options: LitRows): Promise<number> {
  const page = await browser.newPage();
  const rows = await page.evaluate(
    async ({ text, above, x }) => {
      const bytes = Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
      const image = await createImageBitmap(new Blob([bytes], { type: 'image/png' }));
      const canvas = new OffscreenCanvas(image.width, image.height);
      const context = canvas.getContext('2d');
      if (!context) throw new Error('no canvas');
      context.drawImage(image, 0, 0);
      const { data, width, height } = context.getImageData(0, 0, image.width, image.height);
      const isLit = (column: number, row: number) => {
        const at = 4 * (row * width + column);
        return Math.max(data[at] ?? 0, data[at + 1] ?? 0, data[at + 2] ?? 0) > above;
      };
      let lit = 0;
      for (let row = 0; row < height; row += 1) {
        const columns = x === undefined ? Array.from({ length: width }, (_, k) => k) : [x];
        if (columns.some((column) => isLit(column, row))) lit += 1;
      }
      return lit;
    },
    { text: png.toString('base64'), above: options.above, x: options.x },
  );
  await page.close();
  return rows;
}
