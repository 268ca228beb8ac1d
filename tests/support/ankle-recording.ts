/** Recordings of an invented ankle set, written by the real recorder into a data folder: quick to make. */
import { createRecorder } from '../../daemon/sinks/recorder.ts';
import type { StreamBlock, StreamFormat } from '../../shared/block/block.ts';
import type { StartDocument } from '../../shared/record/documents.ts';
import { ankleSet } from './curves.ts';
import { NORTH, TEST_CLOCK } from './recordings.ts';

const RATE_HZ = 500;
const FORMAT: StreamFormat = {
  rate_Hz: RATE_HZ,
  channels: [
    { name: 'torque_Nm', unit: 'Nm', type: 'float32', rawMin: -200, rawMax: 200 },
    { name: 'angle_deg', unit: 'deg', type: 'float32', rawMin: -90, rawMax: 90 },
    { name: 'trigger', unit: 'V', type: 'float32', rawMin: 0, rawMax: 5 },
  ],
  integrity: 'crc32',
  notes: {},
};

export interface AnkleOptions {
  readonly seed: number;
  readonly subject: string;
  readonly nRepetitions?: number;
  readonly startedAt?: string;
  readonly more?: Partial<StartDocument>;
}

/** Resolves with the recording's folder. */
export async function recordAnkleSet(
  dataFolder: string,
  id: string,
  { seed, subject, nRepetitions = 5, startedAt = NORTH.startedAt, more = {} }: AnkleOptions,
): Promise<string> {
  const folder = `${dataFolder}/recordings/${id}`;
  const recorder = createRecorder({
    folder,
    start: {
      ...NORTH,
      ...{ id, name: `SH ankle ${seed}`, startedAt },
      conditions: {
        ...{ subject, pattern: 'ankle-plantarflexion-dorsiflexion', side: 'right' },
        ...{ mode: 'isokinetic', speed_degps: 60, repetitions: nRepetitions },
      },
      ...more,
    },
    clock: TEST_CLOCK,
    onFault: (fault) => {
      throw new Error(`fault: ${fault.code} ${fault.detail}`);
    },
  });
  const trouble = await recorder.ready;
  if (trouble !== null) throw new Error(trouble.detail);
  for (const block of ankleBlocks(seed, nRepetitions)) recorder.write(block);
  recorder.event('marker', RATE_HZ + 0.5, { text: 'strap checked' });
  await recorder.close('test');
  return folder;
}

/** Torque and angle of the set; the trigger goes high for a tenth of a second at second 1.0007. */
function* ankleBlocks(seed: number, nRepetitions: number): Generator<StreamBlock> {
  const { torque_Nm, angle_deg } = ankleSet({
    ...{ rate_Hz: RATE_HZ, nRepetitions, speed_degps: 60, seed },
  });
  const total = torque_Nm.length + RATE_HZ;
  const at = (column: Float32Array, i: number) => column[Math.min(i, column.length - 1)] ?? 0;
  for (let index = 0; index < total; index += 20) {
    const n = Math.min(20, total - index);
    const column = (value: (i: number) => number) =>
      Float64Array.from({ length: n }, (_, k) => Math.fround(value(index + k)));
    const columns = [
      column((i) => (i < torque_Nm.length ? at(torque_Nm, i) : 0)),
      column((i) => at(angle_deg, i)),
      column((i) => triggerAt(i)),
    ];
    const arrival_ns = ((index + n) / RATE_HZ) * 1e9;
    yield { format: FORMAT, run: 0, first: index, n, columns, index, arrival_ns };
  }
}

/** Rises from 0 to 5 V between samples 500 and 501 and falls between 550 and 551. */
function triggerAt(i: number): number {
  return i > 500 && i <= 550 ? 5 : 0;
}
