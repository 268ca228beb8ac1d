/**
 * The only file that imports uPlot. Three curves on one time axis, each in its own row of one canvas;
 * a missing sample ends a line, and a run of them is a hatched void that nothing is drawn across.
 */
import uPlot from 'uplot';
import 'uplot/dist/uPlot.min.css';
import type { Row, RowName, SheetGeometry } from './geometry.ts';
import { plotScale } from './geometry.ts';
import { hatch } from './hatch.ts';
import type { Inks } from './inks.ts';

const ROWS = ['torque', 'angle', 'velocity'] as const satisfies readonly RowName[];
const LINE_WIDTH: Readonly<Record<RowName, number>> = { torque: 2, angle: 2, velocity: 1.6 };
/** A void is at least this wide, so that the shortest gap is still seen, in CSS pixels. */
const LEAST_VOID = 3;

/** Half-open, in seconds of the axis. */
export interface Span {
  readonly from_s: number;
  readonly to_s: number;
}

export interface Void extends Span {
  /** `lost`: never came; `growing`: missing right now; `unseen`: the station has it, this page not. */
  readonly kind: 'lost' | 'growing' | 'unseen';
  /** All rows when left out. */
  readonly row?: RowName;
}

/** Columns of one length; NaN where a sample is missing. */
export interface Curves {
  readonly x_s: Float64Array;
  readonly torque: Float32Array;
  readonly angle: Float32Array;
  readonly velocity: Float32Array;
}

export interface PlotLook {
  readonly inks: Inks;
  /** True while the newest data are old: every curve turns grey. */
  readonly isGrey: boolean;
  /** Rows whose curve is only the ground for others that are drawn over it: thin and grey. */
  readonly quiet?: readonly RowName[];
  /** Repetitions that do not count: their curves are ink, and stay. */
  readonly excluded: readonly Span[];
  readonly voids: readonly Void[];
}

export class RowPlot {
  private readonly plot: uPlot;
  private readonly geometry: SheetGeometry;
  private look: PlotLook;
  private axis: Span;

  /** Draws into `host`, which covers the time area of the sheet. */
  constructor(host: HTMLElement, geometry: SheetGeometry, axis: Span, look: PlotLook) {
    this.geometry = geometry;
    this.axis = axis;
    this.look = look;
    const { time, axisTop } = geometry;
    const scales: uPlot.Scales = {
      x: { time: false, auto: false, range: () => [this.axis.from_s, this.axis.to_s] },
      ...Object.fromEntries(
        ROWS.map((name) => [name, { range: [...plotScale(geometry.rows[name], 0, axisTop)] }]),
      ),
    };
    const options: uPlot.Options = {
      width: time.right - time.left,
      height: axisTop,
      padding: [0, 0, 0, 0],
      pxAlign: 0,
      axes: [{ show: false }, { show: false }],
      legend: { show: false },
      cursor: { show: false },
      scales,
      series: [{}, ...this.series('counted'), ...this.series('excluded')],
      hooks: { draw: [(u) => this.drawVoids(u)] },
    };
    this.plot = new uPlot(options, [[], [], [], [], [], [], []], host);
  }

  /** At most once a frame. */
  draw(curves: Curves, look: PlotLook, axis: Span = this.axis): void {
    this.look = look;
    this.axis = axis;
    const { x_s, torque, angle, velocity } = curves;
    this.plot.setData([x_s, torque, angle, velocity, torque, angle, velocity]);
  }

  destroy(): void {
    this.plot.destroy();
  }

  private series(which: 'counted' | 'excluded'): uPlot.Series[] {
    return ROWS.map((name) => ({
      scale: name,
      auto: false,
      width: which === 'excluded' ? 1.4 : LINE_WIDTH[name],
      stroke: () => {
        const { inks, isGrey, quiet = [] } = this.look;
        return which === 'excluded' || isGrey || quiet.includes(name) ? inks.ink3 : inks[name];
      },
      points: { show: false },
      paths: (u, s) => this.path(u, s, this.geometry.rows[name], which === 'excluded'),
    }));
  }

  /** Strokes the points inside or outside the excluded spans; NaN lifts the pen. */
  private path(u: uPlot, s: number, row: Row, isExcluded: boolean): uPlot.Series.Paths {
    const stroke = new Path2D();
    const clip = new Path2D();
    const { bbox } = u;
    const ratio = bbox.height / this.geometry.axisTop;
    const over = 3 * ratio;
    clip.rect(
      bbox.left,
      bbox.top + row.top * ratio - over,
      bbox.width,
      (row.bottom - row.top) * ratio + 2 * over,
    );
    const spans = this.look.excluded;
    if (!isExcluded || spans.length > 0) trace(u, s, stroke, { row, ratio, spans, isExcluded });
    return { stroke, fill: null, clip, flags: 0 };
  }

  private drawVoids(u: uPlot): void {
    const { voids, inks } = this.look;
    const { ctx, bbox } = u;
    const ratio = bbox.height / this.geometry.axisTop;
    const x = u.scales['x'];
    const perSecond = bbox.width / ((x?.max ?? 1) - (x?.min ?? 0));
    for (const gap of voids) {
      const row = gap.row ? this.geometry.rows[gap.row] : null;
      const top = (row ? row.top : this.geometry.rail.bottom) * ratio;
      const bottom = (row ? row.bottom : this.geometry.axisTop) * ratio;
      const from = Math.max(bbox.left, bbox.left + (gap.from_s - (x?.min ?? 0)) * perSecond);
      const width = Math.max(LEAST_VOID * ratio, (gap.to_s - gap.from_s) * perSecond);
      const right = Math.min(from + width, bbox.left + bbox.width);
      if (right <= from) continue;
      const ink = gap.kind === 'growing' ? inks.high : inks.ink3;
      hatch(ctx, { left: from, top, right, bottom }, ratio, {
        paper: inks.sheet,
        line: gap.kind === 'unseen' ? null : ink,
        edge: ink,
      });
    }
  }
}

interface Tracing {
  readonly row: Row;
  readonly ratio: number;
  readonly spans: readonly Span[];
  readonly isExcluded: boolean;
}

function trace(u: uPlot, s: number, path: Path2D, how: Tracing): void {
  const { row, ratio, spans, isExcluded } = how;
  const xs = u.data[0];
  const ys = u.data[s];
  const scale = u.scales['x'];
  if (!ys || scale?.min == null || scale.max == null) return;
  const perSecond = u.bbox.width / (scale.max - scale.min);
  const left = u.bbox.left - scale.min * perSecond;
  const perUnit = ((row.bottom - row.top) * ratio) / (row.max - row.min);
  const base = u.bbox.top + row.bottom * ratio + row.min * perUnit;
  let isDown = false;
  let span = 0;
  let drawn = Number.NaN;
  let drawnX = Number.NaN;
  for (let i = 0; i < xs.length; i += 1) {
    const time_s = xs[i] ?? 0;
    const value = ys[i] ?? Number.NaN;
    while (span < spans.length && time_s > (spans[span]?.to_s ?? 0)) span += 1;
    const isInside = span < spans.length && time_s >= (spans[span]?.from_s ?? 0);
    if (Number.isNaN(value) || isInside !== isExcluded) {
      // The counted curve reaches the border of an excluded one, so that no hole shows between them.
      if (isDown && !Number.isNaN(value))
        path.lineTo(left + time_s * perSecond, base - value * perUnit);
      isDown = false;
      continue;
    }
    const x = left + time_s * perSecond;
    if (isDown && value === drawn && x === drawnX) continue;
    const y = base - value * perUnit;
    if (isDown) path.lineTo(x, y);
    else path.moveTo(x, y);
    isDown = true;
    drawn = value;
    drawnX = x;
  }
}
