/**
 * The newest bit of the three curves, on a canvas of its own over the sheet: only this is drawn anew at
 * every frame. The sheet below takes it over a few times a second.
 */
import type { RowName, SheetGeometry } from './geometry.ts';
import { yOf } from './geometry.ts';
import type { Inks } from './inks.ts';
import type { Curves } from './plot.ts';

const ROWS = ['torque', 'angle', 'velocity'] as const satisfies readonly RowName[];
const LINE_WIDTH: Readonly<Record<RowName, number>> = { torque: 2, angle: 2, velocity: 1.6 };
/** Half a line and its edge reach this far beyond the points, in CSS pixels. */
const REACH = 3;

export class FreshCurves {
  private readonly canvas = document.createElement('canvas');
  private readonly ctx = this.canvas.getContext('2d');
  private readonly geometry: SheetGeometry;
  private readonly perSecond: number;
  private readonly ratio = window.devicePixelRatio;
  /** Left edge of the canvas on the sheet's time area, in CSS pixels. */
  private left = 0;
  private isInked = false;

  /** Room for `longest_s` of curve; the canvas moves along, so that a frame paints little. */
  constructor(host: HTMLElement, geometry: SheetGeometry, sheet_s: number, longest_s: number) {
    this.geometry = geometry;
    const { time, axisTop } = geometry;
    this.perSecond = (time.right - time.left) / sheet_s;
    const width = Math.ceil(longest_s * this.perSecond) + 4 * REACH;
    this.canvas.width = Math.round(width * this.ratio);
    this.canvas.height = Math.round(axisTop * this.ratio);
    this.canvas.className = 'fresh';
    this.canvas.style.width = `${width}px`;
    this.canvas.style.height = `${axisTop}px`;
    host.append(this.canvas);
  }

  destroy(): void {
    this.canvas.remove();
  }

  clear(): void {
    if (!this.ctx || !this.isInked) return;
    this.ctx.setTransform(1, 0, 0, 1, 0, 0);
    this.ctx.clearRect(0, 0, this.canvas.width, this.canvas.height);
    this.isInked = false;
  }

  /** Draws the points from `first` on, in place of what was drawn before. */
  draw(curves: Curves, first: number, inks: Inks): void {
    this.clear();
    const { ctx, perSecond, ratio } = this;
    const { x_s } = curves;
    if (!ctx || first >= x_s.length) return;
    const left = Math.floor((x_s[first] ?? 0) * perSecond) - REACH;
    if (left !== this.left) this.canvas.style.transform = `translateX(${left}px)`;
    this.left = left;
    ctx.setTransform(ratio, 0, 0, ratio, -left * ratio, 0);
    ctx.lineJoin = 'round';
    for (const name of ROWS) this.stroke(ctx, curves, name, first, inks[name]);
    this.isInked = true;
  }

  private stroke(
    ctx: CanvasRenderingContext2D,
    curves: Curves,
    name: RowName,
    first: number,
    ink: string,
  ): void {
    const row = this.geometry.rows[name];
    const column = curves[name];
    const { x_s } = curves;
    ctx.save();
    ctx.beginPath();
    ctx.rect(this.left, row.top - REACH, this.canvas.width, row.bottom - row.top + 2 * REACH);
    ctx.clip();
    ctx.beginPath();
    let isDown = false;
    for (let i = first; i < x_s.length; i += 1) {
      const value = column[i] ?? Number.NaN;
      if (!Number.isNaN(value)) {
        const x = (x_s[i] ?? 0) * this.perSecond;
        if (isDown) ctx.lineTo(x, yOf(row, value));
        else ctx.moveTo(x, yOf(row, value));
      }
      isDown = !Number.isNaN(value);
    }
    ctx.strokeStyle = ink;
    ctx.lineWidth = LINE_WIDTH[name];
    ctx.stroke();
    ctx.restore();
  }
}
