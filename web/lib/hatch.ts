/** Fills a rectangle of a canvas with paper and slanted lines: what nothing is known about. */

export interface Box {
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
}

const PITCH = 8;

/** `ratio` is canvas pixels a CSS pixel; no lines and only dotted edges where `line` is null. */
export function hatch(
  ctx: CanvasRenderingContext2D,
  box: Box,
  ratio: number,
  inks: { readonly paper: string; readonly line: string | null; readonly edge: string },
): void {
  const { left, top, right, bottom } = box;
  ctx.save();
  ctx.beginPath();
  ctx.rect(left, top, right - left, bottom - top);
  ctx.clip();
  ctx.fillStyle = inks.paper;
  ctx.fillRect(left, top, right - left, bottom - top);
  ctx.lineWidth = ratio;
  if (inks.line !== null) {
    ctx.strokeStyle = inks.line;
    ctx.beginPath();
    const rise = bottom - top;
    const step = PITCH * ratio;
    for (let x = Math.floor((left - rise) / step) * step; x < right; x += step) {
      ctx.moveTo(x, bottom);
      ctx.lineTo(x + rise, top);
    }
    ctx.stroke();
  }
  ctx.strokeStyle = inks.edge;
  if (inks.line === null) ctx.setLineDash([2 * ratio, 3 * ratio]);
  ctx.beginPath();
  for (const x of [left + ratio / 2, right - ratio / 2]) {
    ctx.moveTo(x, top);
    ctx.lineTo(x, bottom);
  }
  ctx.stroke();
  ctx.restore();
}
