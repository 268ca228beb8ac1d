/** The limit: one loop over a block's frames, everything in local variables, by hand for this plan. */
import { butterworthLowPass } from '../../../shared/dsp/butterworth.ts';
import { BLOCK, pooled, RATE_HZ, scales, weightAt, type Variant } from './workload.ts';

export const fusedLoop: Variant = () => {
  const torqueSections = butterworthLowPass({
    order: 4,
    cutOff_Hz: 20,
    rate_Hz: RATE_HZ,
    passes: 1,
  });
  const angleSections = butterworthLowPass({
    order: 4,
    cutOff_Hz: 15,
    rate_Hz: RATE_HZ,
    passes: 1,
  });
  const [t1, t2] = torqueSections;
  const [p1, p2] = angleSections;
  const [s0, s1, s2, s3] = scales;
  const outputs = Array.from({ length: 7 }, () => new Float64Array(BLOCK));
  const [torque, angle, emg, trigger, velocity, muscle, live] = outputs;
  const memory = new Float64Array(9).fill(NaN);
  return pooled(
    ({ columns, n }) => {
      const r0 = columns[0];
      const r1 = columns[1];
      const r2 = columns[2];
      const r3 = columns[3];
      let a1 = memory[0];
      let a2 = memory[1];
      let a3 = memory[2];
      let a4 = memory[3];
      let c1 = memory[4];
      let c2 = memory[5];
      let c3 = memory[6];
      let c4 = memory[7];
      let before = memory[8];
      for (let i = 0; i < n; i += 1) {
        const read = s0.slope * r0[i] + s0.offset;
        const at = s1.slope * r1[i] + s1.offset;
        torque[i] = read + (read - read);
        angle[i] = at + (at - at);
        emg[i] = s2.slope * r2[i] + s2.offset;
        trigger[i] = s3.slope * r3[i] + s3.offset;
        const effort = read - weightAt(at);
        muscle[i] = effort;
        if (a1 !== a1) [a1, a2, a3, a4] = steady(torqueSections, effort);
        const u = t1.b0 * effort + a1;
        a1 = t1.b1 * effort + a2 - t1.a1 * u;
        a2 = t1.b2 * effort - t1.a2 * u;
        const w = t2.b0 * u + a3;
        a3 = t2.b1 * u + a4 - t2.a1 * w;
        a4 = t2.b2 * u - t2.a2 * w;
        live[i] = w;
        if (c1 !== c1) [c1, c2, c3, c4] = steady(angleSections, at);
        const x = p1.b0 * at + c1;
        c1 = p1.b1 * at + c2 - p1.a1 * x;
        c2 = p1.b2 * at - p1.a2 * x;
        const y = p2.b0 * x + c3;
        c3 = p2.b1 * x + c4 - p2.a1 * y;
        c4 = p2.b2 * x - p2.a2 * y;
        velocity[i] = (y - before) * RATE_HZ;
        before = y;
      }
      memory[0] = a1;
      memory[1] = a2;
      memory[2] = a3;
      memory[3] = a4;
      memory[4] = c1;
      memory[5] = c2;
      memory[6] = c3;
      memory[7] = c4;
      memory[8] = before;
    },
    () => live[BLOCK - 1] + velocity[BLOCK - 1],
  );
};

function steady(sections: ReturnType<typeof butterworthLowPass>, value: number): number[] {
  let x = value;
  return sections.flatMap(({ b0, b1, b2, a1, a2 }) => {
    const gain = (b0 + b1 + b2) / (1 + a1 + a2);
    const states = [(gain - b0) * x, (b2 - a2 * gain) * x];
    x *= gain;
    return states;
  });
}
