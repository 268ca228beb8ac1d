import { describe, expect, test } from 'vitest';
import { UsageError } from '../../../daemon/cli/command.ts';
import { readSettings } from '../../../daemon/emulator/settings.ts';
import { SUBJECTS } from '../../../shared/simulation/subjects.ts';

describe('words of the simulated device', () => {
  test('without any it is SH-03 on the ankle at 1 kHz', () => {
    expect(readSettings({})).toMatchObject({
      seed: 1,
      pattern: 'ankle-plantarflexion-dorsiflexion',
      side: 'right',
      subject: SUBJECTS[2],
      rate_Hz: 1000,
      format: 'packets',
    });
  });

  test('a joint is enough for a pattern, a speed goes into the script', () => {
    const settings = readSettings({
      pattern: 'knee',
      script: 'isokinetic',
      speed: '120',
      repetitions: '3',
      subject: 'sh-01',
      side: 'left',
      rate: '2222',
      seed: '77',
      format: 'lines',
    });
    expect(settings).toMatchObject({
      seed: 77,
      pattern: 'knee-extension-flexion',
      side: 'left',
      subject: SUBJECTS[0],
      rate_Hz: 2222,
      format: 'lines',
    });
    expect(settings.script).toMatchObject([
      { kind: 'isokinetic', speed_degps: 120, repetitions: 3 },
    ]);
  });

  test.each([
    [{ pattern: 'elbow' }, /pattern elbow cannot be simulated: use ankle/],
    [{ subject: 'XY-1' }, /subject XY-1 is not known: use SH-01/],
    [{ rate: '1' }, /rate 1 cannot be used: give a number from 50 to 10000/],
    [{ rate: 'fast' }, /number from 50/],
    [{ rate: '' }, /number from 50/],
    [{ seed: '1.5' }, /whole number/],
    [{ side: 'up' }, /use right or left/],
    [{ script: 'dance' }, /script item "dance"/],
    [{ speed: '0' }, /number from 1 to 500/],
    [{ colour: 'red' }, /colour is not an option: use pattern/],
    [{ toString: 'x' }, /is not an option/],
  ] as readonly (readonly [Record<string, string>, RegExp])[])('%o is refused', (words, why) => {
    expect(() => readSettings(words)).toThrow(UsageError);
    expect(() => readSettings(words)).toThrow(why);
  });
});
