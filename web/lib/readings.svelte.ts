/**
 * The live numbers of the margin: the newest samples, settled at most ten times a second so that they
 * can be read. The line on the paper runs at every frame; these do not.
 */
import { onFrame } from './frames.ts';
import { station } from './the-station.ts';

/** NaN where nothing is measured. */
export interface Values {
  readonly torque_Nm: number;
  readonly angle_deg: number;
  readonly velocity_degps: number;
}

const SETTLE_MS = 100;
/** Below this speed the limb is said to be still: the noise of a differentiated angle at rest. */
const STILL_DEGPS = 5;

class Readings {
  torque_Nm = $state(Number.NaN);
  angle_deg = $state(Number.NaN);
  velocity_degps = $state(Number.NaN);
  /** The way the limb moves: 1 toward rising angle, -1 toward falling, 0 still. */
  way = $state<-1 | 0 | 1>(0);
  private settled_ms = 0;

  constructor() {
    onFrame((now_ms) => this.settle(now_ms));
  }

  private settle(now_ms: number): void {
    const { ring } = station;
    if (!ring || ring.end <= 0 || now_ms - this.settled_ms < SETTLE_MS) return;
    this.settled_ms = now_ms;
    const newest = (name: string) => ring.at(ring.columnOf(name), ring.end - 1);
    this.torque_Nm = ring.at(ring.torqueColumn, ring.end - 1);
    this.angle_deg = newest('angle_deg');
    this.velocity_degps = newest('velocity_degps');
    const isMoving = Math.abs(this.velocity_degps) > STILL_DEGPS;
    this.way = isMoving ? (this.velocity_degps > 0 ? 1 : -1) : 0;
  }
}

export const readings = new Readings();
