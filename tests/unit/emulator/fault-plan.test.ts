import { describe, expect, test } from 'vitest';
import { UsageError } from '../../../daemon/cli/command.ts';
import { NO_FAULTS, parseFaults } from '../../../daemon/emulator/fault-plan.ts';

describe('--fault', () => {
  test('chances, times and events, the events in order', () => {
    const text =
      'corrupt=0.001,drop=0.002,duplicate=1e-3,junk=0.5,spike=0.01,delay=20ms,burst=16ms,ppm=-120,' +
      'restart@30s,silence=5s@20s,close=500ms@1,rate=500@40,channels=3@50s';
    expect(parseFaults(text, 1000)).toEqual({
      corrupt: 0.001,
      drop: 0.002,
      duplicate: 0.001,
      junk: 0.5,
      spike: 0.01,
      torqueDelay_s: 0.02,
      burst_s: 0.016,
      ppm: -120,
      events: [
        { kind: 'close', at_s: 1, duration_s: 0.5 },
        { kind: 'silence', at_s: 20, duration_s: 5 },
        { kind: 'restart', at_s: 30 },
        { kind: 'rate', at_s: 40, rate_Hz: 500 },
        { kind: 'channels', at_s: 50, nChannels: 3 },
      ],
    });
    expect(parseFaults('drop=0', 1000)).toEqual(NO_FAULTS);
  });

  test.each([
    ['corrupt=2', /number from 0 to 1/],
    ['corrupt', /number from 0 to 1/],
    ['drop=0.1@5s', /not known/],
    ['burst=16parsecs', /a time such as 16ms/],
    ['delay=2s', /a time such as/],
    ['burst=5s', /a time such as 16ms/],
    ['silence=5s', /not known/],
    ['restart', /not known/],
    ['restart=2@5s', /not known/],
    ['rate=300@4s', /whole number/],
    ['rate=2000@4s', /number from 1 to 1000/],
    ['channels=9@1', /number from 1 to 4/],
    ['toString=1@1', /not known: use corrupt=CHANCE/],
    ['', /not known/],
  ])('%s is refused in one line', (text, why) => {
    const read = () => parseFaults(text, 1000);
    expect(read).toThrow(UsageError);
    expect(read).toThrow(why);
  });
});
