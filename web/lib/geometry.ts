/**
 * Where everything on the sheet lies, in CSS pixels. The loop takes its height from the torque row, so
 * that torque has one scale, drawn once.
 */

export interface Row {
  readonly top: number;
  readonly bottom: number;
  readonly min: number;
  readonly max: number;
}

export type RowName = 'torque' | 'angle' | 'velocity';

export interface SheetGeometry {
  readonly width: number;
  readonly height: number;
  readonly margin: number;
  readonly time: { readonly left: number; readonly right: number };
  readonly loop: { readonly left: number; readonly right: number };
  readonly rail: { readonly top: number; readonly bottom: number };
  readonly rows: Readonly<Record<RowName, Row>>;
  readonly axisTop: number;
  readonly dial: { readonly top: number; readonly bottom: number };
}

export interface Scales {
  readonly torque: readonly [number, number];
  readonly angle: readonly [number, number];
  readonly velocity: readonly [number, number];
}

const EDGE = 16;
const RAIL = 34;
const AXIS = 30;
/** Shares of what is left for the three rows and the two gaps, after the design's 1440 x 900 sheet. */
const SHARES = { torque: 176, torqueGap: 26, angle: 88, angleGap: 14, velocity: 44 };
const NARROW = 1000;

/** Lays the sheet out; below 1000 px the margin and the loop get narrower. `wide` has no loop. */
export function sheetGeometry(
  width: number,
  height: number,
  scales: Scales,
  form: 'loop' | 'wide' = 'loop',
): SheetGeometry {
  const isNarrow = width < NARROW;
  const hasLoop = form === 'loop';
  const margin = isNarrow ? 122 : hasLoop ? 150 : 132;
  const gap = isNarrow ? 28 : 40;
  const loopWidth = hasLoop ? Math.round(Math.min(420, Math.max(180, width * 0.255))) : 0;
  const loopRight = width - EDGE;
  const timeRight = hasLoop ? loopRight - loopWidth - gap : loopRight;
  const unit = (height - RAIL - AXIS) / Object.values(SHARES).reduce((sum, part) => sum + part, 0);
  const torqueBottom = Math.round(RAIL + SHARES.torque * unit);
  const angleTop = Math.round(torqueBottom + SHARES.torqueGap * unit);
  const angleBottom = Math.round(angleTop + SHARES.angle * unit);
  const velocityTop = Math.round(angleBottom + SHARES.angleGap * unit);
  const velocityBottom = height - AXIS;
  const row = (top: number, bottom: number, [min, max]: readonly [number, number]) => ({
    top,
    bottom,
    min,
    max,
  });
  return {
    width,
    height,
    margin,
    time: { left: margin, right: timeRight },
    loop: { left: loopRight - loopWidth, right: loopRight },
    rail: { top: 4, bottom: RAIL },
    rows: {
      torque: row(RAIL, torqueBottom, scales.torque),
      angle: row(angleTop, angleBottom, scales.angle),
      velocity: row(velocityTop, velocityBottom, scales.velocity),
    },
    axisTop: velocityBottom,
    dial: { top: torqueBottom + 24, bottom: height - 8 },
  };
}

/** Height of a value in a row; outside the scale it lies outside the row. */
export function yOf(row: Row, value: number): number {
  return row.bottom - ((value - row.min) / (row.max - row.min)) * (row.bottom - row.top);
}

/** The scale a plot over `height` pixels needs so that `row` shows its own span in its own place. */
export function plotScale(row: Row, top: number, bottom: number): readonly [number, number] {
  const perPixel = (row.max - row.min) / (row.bottom - row.top);
  return [row.min - (bottom - row.bottom) * perPixel, row.max + (row.top - top) * perPixel];
}
