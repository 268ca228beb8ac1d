/**
 * Torque over angle beside the traces, on the same torque scale at the same height: the repetition
 * under way in full ink, the last ones fading, one that does not count dashed.
 */
import type { SheetGeometry } from './geometry.ts';
import { yOf } from './geometry.ts';
import type { Inks } from './inks.ts';
import type { Ring } from './ring.ts';

/** Earlier repetitions that stay visible, newest first, by how much ink they keep. */
const FADING = [0.5, 0.28];
/** Points closer than this add nothing to the line, in CSS pixels. */
const LEAST_STEP = 0.7;

/** A stretch of the stream, half-open. */
export interface LoopSpan {
  readonly first: number;
  readonly end: number;
  readonly isExcluded: boolean;
}

export class LoopPlot {
  private readonly ctx: CanvasRenderingContext2D | null;
  private readonly geometry: SheetGeometry;
  private readonly ratio: number;
  private past: readonly { readonly path: Path2D; readonly isExcluded: boolean }[] = [];
  private current = new Path2D();
  private drawnTo = -1;
  /** How it was last drawn; empty when it must be drawn anew. */
  private drawnLook = '';
  private pen: { x: number; y: number } | null = null;

  constructor(canvas: HTMLCanvasElement, geometry: SheetGeometry, ratio: number) {
    this.ctx = canvas.getContext('2d');
    this.geometry = geometry;
    this.ratio = ratio;
    canvas.width = Math.round((geometry.loop.right - geometry.loop.left) * ratio);
    canvas.height = Math.round(geometry.height * ratio);
  }

  /** Redraws earlier repetitions (oldest first) from the ring and starts the current one at `from`. */
  turn(ring: Ring, spans: readonly LoopSpan[], from: number): void {
    this.past = spans.slice(-FADING.length).map(({ first, end, isExcluded }) => {
      const path = new Path2D();
      this.extend(ring, path, first, end);
      return { path, isExcluded };
    });
    this.current = new Path2D();
    this.pen = null;
    this.drawnLook = '';
    this.drawnTo = Math.max(from, ring.begin);
  }

  /** Adds the samples since the last frame and shows all, unless nothing has moved. */
  draw(ring: Ring, inks: Inks, isGrey: boolean, end: number): void {
    const { ctx, ratio } = this;
    if (!ctx) return;
    const before = this.pen;
    this.extend(ring, this.current, this.drawnTo, end);
    this.drawnTo = Math.max(this.drawnTo, end);
    const look = `${inks.torque} ${inks.sheet} ${String(isGrey)}`;
    if (this.pen === before && look === this.drawnLook) return;
    this.drawnLook = look;
    const { rows, loop } = this.geometry;
    const line = isGrey ? inks.ink3 : inks.torque;
    ctx.setTransform(ratio, 0, 0, ratio, 0, 0);
    ctx.clearRect(0, 0, loop.right - loop.left, this.geometry.height);
    ctx.save();
    ctx.beginPath();
    ctx.rect(0, rows.torque.top, loop.right - loop.left, rows.torque.bottom - rows.torque.top);
    ctx.clip();
    ctx.lineJoin = 'round';
    this.past.forEach(({ path, isExcluded }, k) => {
      ctx.globalAlpha = FADING[this.past.length - 1 - k] ?? 0;
      ctx.lineWidth = 1.5;
      ctx.strokeStyle = isExcluded ? inks.ink3 : line;
      ctx.setLineDash(isExcluded ? [3, 3] : []);
      ctx.stroke(path);
    });
    ctx.globalAlpha = 1;
    ctx.setLineDash([]);
    ctx.lineWidth = 2.75;
    ctx.strokeStyle = line;
    ctx.stroke(this.current);
    ctx.restore();
    if (this.pen) this.drawPen(ctx, this.pen, line, isGrey);
  }

  private drawPen(
    ctx: CanvasRenderingContext2D,
    pen: { x: number; y: number },
    line: string,
    isGrey: boolean,
  ): void {
    ctx.beginPath();
    ctx.arc(pen.x, pen.y, 5, 0, 2 * Math.PI);
    ctx.fillStyle = line;
    if (!isGrey) ctx.fill();
    ctx.lineWidth = 1.2;
    ctx.strokeStyle = line;
    ctx.stroke();
  }

  private extend(ring: Ring, path: Path2D, first: number, end: number): void {
    const torque = ring.torqueColumn;
    const angle = ring.columnOf('angle_deg');
    const { rows, loop } = this.geometry;
    const perDegree = (loop.right - loop.left) / (rows.angle.max - rows.angle.min);
    let pen = this.pen;
    for (let i = first; i < end; i += 1) {
      const torque_Nm = ring.at(torque, i);
      const angle_deg = ring.at(angle, i);
      if (Number.isNaN(torque_Nm) || Number.isNaN(angle_deg)) {
        pen = null;
        continue;
      }
      const x = (angle_deg - rows.angle.min) * perDegree;
      const y = yOf(rows.torque, torque_Nm);
      if (pen && Math.abs(x - pen.x) + Math.abs(y - pen.y) < LEAST_STEP) continue;
      if (pen) path.lineTo(x, y);
      else path.moveTo(x, y);
      pen = { x, y };
    }
    this.pen = pen;
  }
}
