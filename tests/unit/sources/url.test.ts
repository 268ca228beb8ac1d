/** What can be typed after --source, and the one line for what cannot. */
import { describe, expect, test } from 'vitest';
import { UsageError } from '../../../daemon/cli/command.ts';
import { hintsOf, parseAddress, publicText } from '../../../daemon/sources/url-wire.ts';
import { parseSourceUrl } from '../../../daemon/sources/url.ts';

describe('parseSourceUrl', () => {
  test.each([
    ['demo:', 'demo', '', {}],
    [
      'serial:/dev/ttyUSB0?baud=921600&format=lines',
      'serial',
      '/dev/ttyUSB0',
      { baud: '921600', format: 'lines' },
    ],
    ['serial:COM3?baud=115200', 'serial', 'COM3', { baud: '115200' }],
    ['serial:///dev/ttyACM0', 'serial', '/dev/ttyACM0', {}],
    ['tcp://[::1]:9000?format=packets', 'tcp', '[::1]:9000', { format: 'packets' }],
    [
      'ws://daq.local:81/stream/1?token=a%26b&rate=500',
      'ws',
      'daq.local:81/stream/1',
      { token: 'a&b', rate: '500' },
    ],
    [
      'tcp://h:1?names=time_us,torque,angle&time=time_us',
      'tcp',
      'h:1',
      { names: 'time_us,torque,angle', time: 'time_us' },
    ],
  ])('%s', (text, id, target, options) => {
    expect(parseSourceUrl(text)).toEqual({ id, target, options, text });
  });

  test.each([
    ['', 'give one of'],
    ['usb:0', 'give one of'],
    ['/dev/ttyUSB0', 'give one of'],
    ['serial:', 'name the device'],
    ['serial:/dev/ttyUSB0?baud=fast', 'give a number, as 921600'],
    ['serial:/dev/ttyUSB0?baud=0', 'give a number, as 921600'],
    ['serial:/dev/ttyUSB0?bauds=9600', 'bauds is none of format, rate, time, names, baud'],
    ['serial:/dev/ttyUSB0?format=csv', 'give lines or packets'],
    ['serial:/dev/ttyUSB0?time=seconds', 'give time_s, time_ms, time_us, sample'],
    ['serial:/dev/ttyUSB0?names=t,torque', 'begin names with time_s, time_ms, time_us, sample'],
    ['serial:/dev/ttyUSB0?rate=-1', 'give Hz, as 1000'],
    ['serial:/dev/ttyUSB0?baud', 'no NAME=VALUE'],
    ['serial:/dev/ttyUSB0?baud=1200&baud=9600', 'baud comes twice'],
    ['serial:/dev/ttyUSB0?names=%zz', 'a % that encodes nothing'],
    ['tcp:localhost:9000', 'two slashes'],
    ['tcp://localhost', 'give host and port'],
    ['tcp://localhost:0', 'give host and port'],
    ['tcp://localhost:70000', 'give host and port'],
    ['tcp://local host:9000', 'give host and port'],
    ['ws://?format=lines', 'give host and port'],
    ['serial:/dev/tty\u0000', 'give one of'],
    [`serial:${'x'.repeat(2000)}`, 'give one of'],
  ])('%j is told in one line', (text, words) => {
    const told = (): unknown => parseSourceUrl(text);
    expect(told).toThrow(UsageError);
    expect(told).toThrow(words);
    expect(told).toThrow(/^--source "[^\n]{0,400}$/);
  });

  test('says of lines what they do not say themselves', () => {
    const url = parseSourceUrl('tcp://h:1?rate=500&time=sample&names=sample,torque');
    expect(hintsOf(url)).toEqual({ rate_Hz: 500, time: 'sample', names: ['sample', 'torque'] });
    expect(parseAddress(url, '')).toEqual({ host: 'h', port: 1, path: '' });
  });

  test('shows no password', () => {
    const url = parseSourceUrl('ws://h:1/s?token=secret&format=lines');
    expect(publicText(url)).toBe('ws://h:1/s?token=...&format=lines');
    const serial = parseSourceUrl('serial:/dev/ttyUSB0?baud=9600');
    expect(publicText(serial)).toBe('serial:/dev/ttyUSB0?baud=9600');
  });
});
