/** A small invented recording for the exporters: known curves, one hole, one marker, awkward texts. */
import type { ExportChunk, ExportSource } from '../../daemon/exporters/index.ts';

export const RATE_HZ = 1000;
export const HOLE = { first: 1500, end: 2250 };
/** Blocks of 20 that are left out: 1500 to 2260. */
const HOLE_SPAN = { first: 1500, end: 2260 };

/** Torque and angle of sample `i`; irrational, so that rounding anywhere shows. */
export const truthAt = (i: number) => ({
  torque_Nm: 80 * Math.sin(i / 100) + Math.SQRT2 / 1000,
  angle_deg: 10 - 25 * Math.cos(i / 700),
});

export function exportSource(nSamples = 3200): ExportSource {
  return {
    id: 'sh-03-set-1',
    rate_Hz: RATE_HZ,
    end: nSamples,
    startedAt: '2026-11-25T13:58:02.000Z',
    columns: [
      {
        name: 'torque_Nm',
        unit: 'Nm',
        meaning: '=dorsiflexion positive',
        least: -200,
        most: 200,
        delay_ms: 4,
      },
      {
        name: 'angle_deg',
        unit: 'deg',
        meaning: 'dorsiflexion positive',
        least: -90,
        most: 90,
        delay_ms: 0,
      },
    ],
    markers: [
      { index: 500, time_s: 0.5, kind: 'marker', text: 'strap checked' },
      { index: 812.25, time_s: 0.81225, kind: 'trigger', text: 'trigger rises' },
    ],
    holes: nSamples > HOLE.end ? [HOLE_SPAN] : [],
    provenance: { subject: 'SH-03', software: 'momentarm test' },
    *chunks(): Generator<ExportChunk> {
      for (let index = 0; index < nSamples; index += 20) {
        if (index >= HOLE.first && index < HOLE.end) continue;
        const n = Math.min(20, nSamples - index);
        const rows = Array.from({ length: n }, (_, i) => truthAt(index + i));
        const torque_Nm = Float64Array.from(rows, (row) => row.torque_Nm);
        if (index === 100) torque_Nm[3] = Number.NaN;
        yield { index, n, columns: [torque_Nm, Float64Array.from(rows, (row) => row.angle_deg)] };
      }
    },
  };
}

/** Indices that are in the recording, and the one whose torque is no number. */
export const presentIndices = (nSamples = 3200) =>
  Array.from({ length: nSamples }, (_, i) => i).filter((i) => {
    const block = i - (i % 20);
    return block < HOLE.first || block >= HOLE.end;
  });
export const NOT_A_NUMBER_AT = 103;
