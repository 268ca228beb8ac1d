/** One RxJS event for every frame: with a new object in every stage, and with one object for ever. */
import { map, Subject } from 'rxjs';
import {
  frameFilter,
  pooled,
  RATE_HZ,
  scales,
  weightAt,
  type Pass,
  type Variant,
} from './workload.ts';

interface Frame {
  raw: number[];
  torque_Nm: number;
  angle_deg: number;
  emg_mV: number;
  trigger_V: number;
  velocity_degps: number;
  muscleTorque_Nm: number;
  torqueLive_Nm: number;
}

/** Every frame an event; `next` decides whether a stage makes a new object or fills the same one. */
function perFrame(next: (frame: Frame, changes: Partial<Frame>) => Frame): () => Pass {
  const frame$ = new Subject<Frame>();
  const [torqueFilter, angleFilter] = [frameFilter(20), frameFilter(15)];
  let before = NaN;
  let sum = 0;
  frame$
    .pipe(
      map((frame) => {
        const [torque_Nm, angle_deg, emg_mV, trigger_V] = frame.raw.map(
          (value, c) => scales[c].slope * value + scales[c].offset,
        );
        return next(frame, { torque_Nm, angle_deg, emg_mV, trigger_V });
      }),
      map((frame) => {
        const here = angleFilter(frame.angle_deg);
        const velocity_degps = (here - before) * RATE_HZ;
        before = here;
        return next(frame, { velocity_degps });
      }),
      map((frame) => next(frame, { muscleTorque_Nm: frame.torque_Nm - weightAt(frame.angle_deg) })),
      map((frame) => next(frame, { torqueLive_Nm: torqueFilter(frame.muscleTorque_Nm) })),
    )
    .subscribe((frame) => {
      sum = frame.torqueLive_Nm + frame.velocity_degps;
    });
  const empty: Frame = {
    raw: [],
    torque_Nm: NaN,
    angle_deg: NaN,
    emg_mV: NaN,
    trigger_V: NaN,
    velocity_degps: NaN,
    muscleTorque_Nm: NaN,
    torqueLive_Nm: NaN,
  };
  return pooled(
    ({ columns, n }) => {
      for (let i = 0; i < n; i += 1)
        frame$.next(next(empty, { raw: columns.map((column) => column[i]) }));
    },
    () => sum,
  );
}

export const frameObjectsThroughRx: Variant = () =>
  perFrame((frame, changes) => ({ ...frame, ...changes }));

/** The best per-frame form: one frame for ever, fields written in place. */
export const frameReusedThroughRx: Variant = () => {
  const frame: Frame = {
    raw: [0, 0, 0, 0],
    torque_Nm: NaN,
    angle_deg: NaN,
    emg_mV: NaN,
    trigger_V: NaN,
    velocity_degps: NaN,
    muscleTorque_Nm: NaN,
    torqueLive_Nm: NaN,
  };
  const frame$ = new Subject<Frame>();
  const [torqueFilter, angleFilter] = [frameFilter(20), frameFilter(15)];
  const [s0, s1, s2, s3] = scales;
  let before = NaN;
  let sum = 0;
  frame$
    .pipe(
      map((f) => {
        f.torque_Nm = s0.slope * f.raw[0] + s0.offset;
        f.angle_deg = s1.slope * f.raw[1] + s1.offset;
        f.emg_mV = s2.slope * f.raw[2] + s2.offset;
        f.trigger_V = s3.slope * f.raw[3] + s3.offset;
        return f;
      }),
      map((f) => {
        const here = angleFilter(f.angle_deg);
        f.velocity_degps = (here - before) * RATE_HZ;
        before = here;
        return f;
      }),
      map((f) => {
        f.muscleTorque_Nm = f.torque_Nm - weightAt(f.angle_deg);
        return f;
      }),
      map((f) => {
        f.torqueLive_Nm = torqueFilter(f.muscleTorque_Nm);
        return f;
      }),
    )
    .subscribe((f) => {
      sum = f.torqueLive_Nm + f.velocity_degps;
    });
  return pooled(
    ({ columns, n }) => {
      for (let i = 0; i < n; i += 1) {
        for (let c = 0; c < 4; c += 1) frame.raw[c] = columns[c][i];
        frame$.next(frame);
      }
    },
    () => sum,
  );
};
