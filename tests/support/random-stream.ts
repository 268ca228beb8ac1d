/** Seeded raw streams with noise, missing samples and infinities, and ways to cut them. */
import type { RawBlock, StreamBlock, StreamFormat } from '../../shared/block/block.ts';
import type { Plan, WiredColumn } from '../../shared/wiring/wire.ts';

/** Mulberry32, a small public-domain generator (from memory): the same seed, the same stream. */
export function seeded(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

export const rawFormat: StreamFormat = {
  rate_Hz: 1000,
  channels: ['ai0', 'ai1', 'ai2'].map((name) => ({ name, unit: 'V', type: 'int16' })),
  integrity: 'crc32',
  notes: {},
};

function wired(name: string, unit: string, source: number, delay_ms: number): WiredColumn {
  const channel = `ai${source}`;
  const scale = { slope: 50 - 90 * source, offset: 3 * source - 1 };
  return {
    name,
    unit,
    channel,
    source,
    ...scale,
    delay_ms,
    delayUncertainty_ms: 0,
    converterEnds: null,
  };
}

/** Torque, angle (7 ms late) and an EMG, so that every stage has something to do. */
export const fullPlan: Plan = {
  rate_Hz: rawFormat.rate_Hz,
  columns: [
    wired('torque_Nm', 'Nm', 0, 0),
    wired('angle_deg', 'deg', 1, 7),
    wired('emg_mV', 'mV', 2, 2),
  ],
  notices: [],
};

/** A slow wave with noise; about one sample in `missingOneIn` is NaN or infinite. */
export function rawColumns(seed: number, n: number, missingOneIn: number): Float64Array[] {
  const chance = seeded(seed);
  return rawFormat.channels.map((_, c) =>
    Float64Array.from({ length: n }, (_unused, i) => {
      if (chance() * missingOneIn < 1)
        return chance() < 0.5 ? Number.NaN : Number.POSITIVE_INFINITY;
      return Math.sin(i / (40 + 9 * c)) + 0.1 * (chance() - 0.5);
    }),
  );
}

/** Cuts columns at the given places (any order, any number) into blocks that follow one another. */
export function cutAt(
  columns: readonly Float64Array[],
  places: readonly number[],
  index = 0,
): StreamBlock[] {
  const n = columns[0]?.length ?? 0;
  const inside = places.filter((place) => place > 0 && place < n);
  const edges = [...new Set([0, ...inside, n])].sort((a, b) => a - b);
  return edges.slice(1).map((end, k): StreamBlock => {
    const first = edges[k] ?? 0;
    const raw: RawBlock = {
      format: rawFormat,
      run: 0,
      first: index + first,
      n: end - first,
      columns: columns.map((column) => column.slice(first, end)),
    };
    return { ...raw, index: index + first, arrival_ns: (index + end) * 1e6 };
  });
}
