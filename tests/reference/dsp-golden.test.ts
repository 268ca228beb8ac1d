/**
 * Signal conditioning against scipy 1.10.1 and numpy 1.24.2 on real torque, angle and EMG: the open
 * set `dsp-golden` (29 cases, 30 designs, one spectrum), each with its exact call. 1e-9 relative.
 */
import { describe, expect, test } from 'vitest';
import { hasReferenceData, referenceText } from '../support/reference-data.ts';
import {
  butterworthHighPass,
  butterworthLowPass,
  passCorrection,
} from '../../shared/dsp/butterworth.ts';
import { decimate } from '../../shared/dsp/decimate.ts';
import { gradient } from '../../shared/dsp/derivative.ts';
import { movingMedian } from '../../shared/dsp/median.ts';
import { movingRms } from '../../shared/dsp/moving-rms.ts';
import { notch } from '../../shared/dsp/notch.ts';
import { response } from '../../shared/dsp/response.ts';
import { savitzkyGolay } from '../../shared/dsp/savitzky-golay.ts';
import { cascade, sweep, type Section } from '../../shared/dsp/section.ts';
import { welch } from '../../shared/dsp/spectrum.ts';
import { cumulativeTrapezoid } from '../../shared/dsp/trapezoid.ts';
import { zeroPhase } from '../../shared/dsp/zero-phase.ts';

type Row = readonly number[];
interface Golden {
  inputs: Record<string, Row>;
  butter_lowpass: {
    order: number;
    fc_hz: number;
    fs_hz: number;
    sos: readonly Row[];
    freq_hz: Row;
    magnitude: Row;
    phase_rad: Row;
  }[];
  cases: { name: string; call: string; input: string; output: Row }[];
  dual_pass_corrected: { b: Row; a: Row; C: number; corrected_fc_hz: number };
  iirnotch_50Hz_Q30_fs2000: { b: Row; a: Row };
  emg_bandpass_sos: readonly Row[];
  welch_B: { f: Row; P: Row };
}

function causal(sections: readonly Section[], x: Float64Array): Float64Array {
  const out = new Float64Array(x.length);
  sweep(cascade(sections), x, out, x.length);
  return out;
}

function numbers({ b0, b1, b2, a1, a2 }: Section): number[] {
  return [b0, b1, b2, 1, a1, a2];
}

/** Relative to each value, and to a hundredth of the largest where a value crosses zero. */
function expectClose(found: ArrayLike<number>, expected: Row): void {
  expect(found.length).toBe(expected.length);
  const floor = expected.reduce((most, value) => Math.max(most, Math.abs(value)), 0) * 1e-2;
  let worst = 0;
  expected.forEach((value, i) => {
    const error = Math.abs((found[i] ?? NaN) - value) / Math.max(Math.abs(value), floor);
    if (!(error <= worst)) worst = error;
  });
  expect(worst).toBeLessThan(1e-9);
}

describe.runIf(hasReferenceData())('scipy golden vectors', () => {
  const golden = JSON.parse(referenceText('dsp-golden', 'golden.json.gz')) as Golden;
  const input = (name: string): Float64Array => Float64Array.from(golden.inputs[name] ?? []);

  test.each(
    golden.butter_lowpass.map((row): [string, typeof row] => [
      `${row.order} ${row.fc_hz}/${row.fs_hz}`,
      row,
    ]),
  )(
    'butter %s Hz: sections, magnitude and phase',
    (_, { order, fc_hz, fs_hz, sos, freq_hz, magnitude, phase_rad }) => {
      const design = butterworthLowPass({ order, cutOff_Hz: fc_hz, rate_Hz: fs_hz, passes: 1 });
      expectClose(design.flatMap(numbers), sos.flat());
      freq_hz.forEach((frequency_Hz, k) => {
        const { gain, phase_rad: phase } = response(design, frequency_Hz, fs_hz);
        expect(gain).toBeCloseTo(magnitude[k] ?? NaN, 9);
        const turn = phase - (phase_rad[k] ?? NaN);
        expect(Math.abs(Math.atan2(Math.sin(turn), Math.cos(turn)))).toBeLessThan(1e-9);
      });
    },
  );

  const lowPass = (order: number, cutOff_Hz: number, rate_Hz: number): Section[] =>
    butterworthLowPass({ order, cutOff_Hz, rate_Hz, passes: 1 });
  /** scipy's butter(2, [10, 450], 'bandpass') is one design; its sections are given by the set. */
  const emgBand = golden.emg_bandpass_sos.map(
    ([b0 = 0, b1 = 0, b2 = 0, , a1 = 0, a2 = 0]): Section => ({ b0, b1, b2, a1, a2 }),
  );

  const computed: Record<string, () => Float64Array> = {
    'dual-pass corrected 12 Hz 4th-order zero-lag': () =>
      zeroPhase(
        lowPass(2, golden.dual_pass_corrected.corrected_fc_hz, 2000),
        input('A_torque_2000Hz'),
      ),
    'notch 50 Hz causal': () =>
      causal([notch({ centre_Hz: 50, rate_Hz: 2000, quality: 30 })], input('A_torque_2000Hz')),
    'central-difference velocity': () => gradient(input('A_angle_2000Hz'), 2000),
    'resample_poly 1/20': () => decimate(input('A_torque_2000Hz'), 20, 'zero'),
    'EMG bandpass 10-450 zero-phase': () => zeroPhase(emgBand, input('A_emg_2000Hz')),
    'EMG moving RMS 500 samples valid': () =>
      movingRms(zeroPhase(emgBand, input('A_emg_2000Hz')), 500),
    'cumulative work': () =>
      cumulativeTrapezoid(
        input('A_torque_2000Hz'),
        input('A_angle_2000Hz').map((angle_deg) => (angle_deg * Math.PI) / 180),
      ),
  };
  for (const window of [3, 5, 9]) {
    computed[`median ${window}`] = () =>
      movingMedian(input('A_torque_2000Hz'), { window, beyond: 'zero' });
  }
  for (const derivative of [0, 1, 2]) {
    computed[`savgol 51/3 deriv ${derivative}`] = () =>
      savitzkyGolay(input('A_angle_2000Hz'), { window: 51, order: 3, derivative, rate_Hz: 2000 });
  }
  for (const [name, rate_Hz] of [
    ['A_torque_2000Hz', 2000],
    ['B_torque_1000Hz', 1000],
  ] as const) {
    for (const order of [2, 4]) {
      for (const cutOff_Hz of [6, 12, 20]) {
        const design = lowPass(order, cutOff_Hz, rate_Hz);
        computed[`causal butter${order} ${cutOff_Hz}Hz ${name}`] = () =>
          causal(design, input(name));
        computed[`zerophase butter${order} ${cutOff_Hz}Hz ${name}`] = () =>
          zeroPhase(design, input(name));
      }
    }
  }

  test('there are 29 cases', () => {
    expect(golden.cases).toHaveLength(29);
  });

  test.each(
    golden.cases.map(({ name, call, output }): [string, string, Row] => [name, call, output]),
  )('%s: %s', (name, _, output) => {
    expectClose((computed[name] ?? expect.fail(`no code for ${name}`))(), output);
  });

  test('the correction of two passes, scaled before tan as the set has it', () => {
    const { C, corrected_fc_hz, b, a } = golden.dual_pass_corrected;
    expect(passCorrection(2, 2)).toBeCloseTo(C, 12);
    const [section] = lowPass(2, corrected_fc_hz, 2000);
    expectClose(section === undefined ? [] : numbers(section), [...b, ...a]);
  });

  test('iirnotch(50, 30, fs=2000)', () => {
    const { b, a } = golden.iirnotch_50Hz_Q30_fs2000;
    expectClose(numbers(notch({ centre_Hz: 50, rate_Hz: 2000, quality: 30 })), [...b, ...a]);
  });

  test('welch(x, 1000, hann, nperseg=512)', () => {
    const spectrum = welch(input('B_torque_1000Hz'), 1000, 512);
    expectClose(spectrum?.frequency_Hz ?? [], golden.welch_B.f);
    expectClose(spectrum?.density ?? [], golden.welch_B.P);
  });

  test('a high-pass leaves what the low-pass takes: |L|^2 + |H|^2 = 1, any Butterworth pair', () => {
    const design = { order: 2, cutOff_Hz: 12, rate_Hz: 1000, passes: 1 } as const;
    for (const frequency_Hz of [1, 6, 12, 50, 300]) {
      const low = response(butterworthLowPass(design), frequency_Hz, 1000).gain;
      const high = response(butterworthHighPass(design), frequency_Hz, 1000).gain;
      expect(low ** 2 + high ** 2).toBeCloseTo(1, 12);
    }
  });
});
