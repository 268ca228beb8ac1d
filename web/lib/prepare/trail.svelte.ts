/**
 * The movement under way as the pen draws it: angle and torque of the newest samples, averaged, once a
 * frame. A turn or a rest begins a new one.
 */
import { onFrame } from '../frames.ts';
import type { Station } from '../station.svelte.ts';

/** Averaged over 20 ms: what the eye needs of a slow sweep. */
const MEAN_S = 0.02;
/** Points nearer than this are not drawn apart. */
const LEAST_DEG = 0.1;

export class Trail {
  angle_deg = $state.raw<readonly number[]>([]);
  torque_Nm = $state.raw<readonly number[]>([]);
  private way = 0;
  private readonly station: Station;

  constructor(station: Station) {
    this.station = station;
  }

  /** Follows until the returned function is called. */
  follow(): () => void {
    return onFrame(() => this.look());
  }

  private look(): void {
    const { ring, state, isOld } = this.station;
    const way = state?.preparation.weighing?.way ?? 0;
    if (way !== this.way) {
      this.way = way;
      this.angle_deg = [];
      this.torque_Nm = [];
    }
    if (way === 0 || !ring || isOld) return;
    const angle = this.mean('angle_deg');
    const torque = this.mean('torque_Nm');
    const last = this.angle_deg.at(-1) ?? Number.NaN;
    if (Number.isNaN(angle) || Number.isNaN(torque) || way * (angle - last) < LEAST_DEG) return;
    this.angle_deg = [...this.angle_deg, angle];
    this.torque_Nm = [...this.torque_Nm, torque];
  }

  private mean(name: string): number {
    const { ring } = this.station;
    if (!ring) return Number.NaN;
    const column = ring.columnOf(name);
    const n = Math.max(1, Math.round(MEAN_S * ring.rate_Hz));
    let sum = 0;
    for (let i = ring.end - n; i < ring.end; i += 1) sum += ring.at(column, i);
    return sum / n;
  }
}
