/**
 * Recordings of earlier versions are kept here for ever and must always be read. The numbers are those
 * that the maker of `recording-1` put in: value = (index * 7919 + channel * 104729) mod 60000 - 30000,
 * int24 times 250 less the index's last bit, floats divided by 7; samples 7060-7079 and 7200-7339 missing,
 * 7702 and 7703 of the first channel not a number.
 */
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { readSamples } from '../../daemon/store/read-blocks.ts';
import { openRecording } from '../../daemon/store/recording.ts';
import { readSignal } from '../../daemon/store/signal.ts';
import { verifyRecording } from '../../daemon/store/verify.ts';

const FOLDER = join(import.meta.dirname, 'recording-1');

const whole = (index: number, c: number) => ((index * 7919 + c * 104729) % 60_000) - 30_000;

function expected(index: number): number[] {
  if (index < 7600) return [whole(index, 0), whole(index, 1) * 250 - (index % 2)];
  const isMissing = index === 7702 || index === 7703;
  return [isMissing ? Number.NaN : Math.fround(whole(index, 0) / 7), whole(index, 1) / 7];
}

test('a recording of version 1 is sound and gives every sample', () => {
  expect(verifyRecording(FOLDER)).toMatchObject({
    isSound: true,
    closed: 'complete',
    samples: 450,
    missing: 260,
    gaps: 3,
    notes: ['4 bytes of the device could not be decoded'],
  });
  const got: number[] = [];
  for (const { index, first, run, n, columns } of readSamples(openRecording(FOLDER).files)) {
    expect([first - index, run]).toEqual(index < 7600 ? [0, 0] : [-7600, 1]);
    for (let i = 0; i < n; i += 1) {
      got.push(index + i);
      expect(columns.map((column) => column[i])).toEqual(expected(index + i));
    }
  }
  const all = Array.from({ length: 710 }, (_, k) => 7000 + k);
  const isThere = (k: number) =>
    !(k >= 7060 && k < 7080) && !(k >= 7200 && k < 7340) && !(k >= 7500 && k < 7600);
  expect(got).toEqual(all.filter(isThere));
});

test('its documents say what they said', () => {
  const { start, stop, events, files } = openRecording(FOLDER);
  expect(start).toMatchObject({
    name: 'SH-01 knee, right',
    station: 'North',
    conditions: { subject: 'SH-01', side: 'right' },
  });
  expect(stop).toMatchObject({ reason: 'end of set', firstIndex: 7000, endIndex: 7710 });
  expect(events.map(({ kind }) => kind)).toContain('marker');
  expect(events.find(({ kind }) => kind === 'marker')).toMatchObject({
    at: 7100.5,
    detail: { text: 'start' },
  });
  expect(files.map(({ header }) => header.format.rate_Hz)).toEqual([1000, 250]);
  expect(files[0]?.header.format.notes).toEqual({ device: 'bench rig', gain: '2' });
});

test('its wiring gives torque and angle over time', () => {
  const reading = readSignal(openRecording(FOLDER));
  if ('problem' in reading) throw new Error(reading.problem);
  const { time_s, torque_Nm, angle_deg } = reading.signal;
  const at = (time: number) => time_s.indexOf(time);
  expect([time_s[0], time_s.at(-1)]).toEqual([0, 0.5 + 209 / 250]);
  expect(torque_Nm[at(0.1)]).toBe(0.01 * whole(7100, 0));
  expect(angle_deg?.[at(0.1)]).toBe(-0.00001 * whole(7100, 1) * 250);
  expect(torque_Nm[at(0.07)]).toBeNaN();
  expect(torque_Nm[at(0.9)]).toBe(0.01 * Math.fround(whole(7600, 0) / 7));
});
