/**
 * Geometry of the plot of passive torque over angle: scales in whole steps that hold every curve, and
 * paths in its pixels. A scale grows by whole steps and never shrinks while a weighing is open.
 */
import type { Gravity } from '../../../shared/gravity/gravity.ts';
import { weightAt } from '../../../shared/gravity/remove.ts';

export interface PlotBox {
  readonly width: number;
  readonly height: number;
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}

export interface PlotScales {
  readonly angle_deg: readonly [number, number];
  readonly torque_Nm: readonly [number, number];
  readonly step_Nm: number;
}

/** Degrees that are left free outside the limits, so that an end is seen to be one. */
const ROOM_DEG = 3;
const STEPS_NM = [1, 2, 5, 10, 20, 50, 100];
/** More grid lines than this are hard to read. */
const MOST_LINES = 7;

/** `values` are all torques that must lie inside; zero always does. */
export function plotScales(
  range_deg: readonly [number, number],
  values: readonly number[],
): PlotScales {
  const known = values.filter(Number.isFinite);
  const low = Math.min(0, ...known) - 0.3;
  const high = Math.max(0, ...known) + 0.3;
  const step = STEPS_NM.find((size) => (high - low) / size <= MOST_LINES) ?? 200;
  return {
    angle_deg: [range_deg[0] - ROOM_DEG, range_deg[1] + ROOM_DEG],
    torque_Nm: [Math.floor(low / step) * step, Math.ceil(high / step) * step],
    step_Nm: step,
  };
}

export function xOf(box: PlotBox, { angle_deg: [least, most] }: PlotScales, angle: number): number {
  return box.left + ((angle - least) / (most - least)) * (box.right - box.left);
}

export function yOf(
  box: PlotBox,
  { torque_Nm: [least, most] }: PlotScales,
  torque: number,
): number {
  return box.bottom - ((torque - least) / (most - least)) * (box.bottom - box.top);
}

/** A missing value lifts the pen. */
export function pathOf(
  box: PlotBox,
  scales: PlotScales,
  angles: readonly number[],
  torques: readonly number[],
): string {
  let path = '';
  let isDown = false;
  angles.forEach((angle, i) => {
    const torque = torques[i] ?? Number.NaN;
    if (!Number.isFinite(torque)) {
      isDown = false;
      return;
    }
    const x = xOf(box, scales, angle).toFixed(1);
    const y = yOf(box, scales, torque).toFixed(1);
    path += `${isDown ? 'L' : 'M'}${x} ${y}`;
    isDown = true;
  });
  return path;
}

/** Angles of a range in steps of a degree, both ends included. */
export function anglesIn([least, most]: readonly [number, number]): number[] {
  const n = Math.max(1, Math.round(most - least));
  return Array.from({ length: n + 1 }, (_, k) => least + ((most - least) * k) / n);
}

export function torquesOf(gravity: Gravity, angles: readonly number[]): number[] {
  return angles.map((angle) => weightAt(gravity, angle));
}

/** Round angles inside the scale, and the limits themselves. */
export function angleTicks([least, most]: readonly [number, number]): number[] {
  const step = most - least > 80 ? 20 : 10;
  const first = Math.ceil(least / step) * step;
  const round = Array.from(
    { length: Math.max(0, Math.floor((most - first) / step) + 1) },
    (_, k) => first + k * step,
  );
  const isNear = (limit: number) => round.some((tick) => Math.abs(tick - limit) < step / 3);
  return [...round, ...[least, most].filter((limit) => !isNear(limit))];
}
