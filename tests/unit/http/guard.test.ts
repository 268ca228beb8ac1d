/** Which Host and Origin may speak to the station (OWASP ASVS 5.0: 3.5.1, 3.5.2, 4.4.2). */
import { describe, expect, it } from 'vitest';
import { allowedHosts, refusal } from '../../../daemon/http/guard.ts';

const guard = { hosts: allowedHosts('127.0.0.1', []), port: 4870, isOpen: false };
const open = { ...guard, isOpen: true };

describe('host', () => {
  it.each(['127.0.0.1:4870', 'localhost:4870', 'LOCALHOST:4870', '[::1]:4870'])(
    '%s may',
    (host) => {
      expect(refusal({ host }, guard)).toBeNull();
    },
  );

  it.each([
    undefined,
    '',
    'station.example:4870',
    'localhost',
    'localhost:80',
    '127.0.0.1:4870@station.example',
    'localhost.station.example:4870',
    '127.0.0.1:4870:4870',
    '[::1]x:4870',
    '0.0.0.0:4870',
    '127.1:4870',
  ])('%s may not', (host) => {
    expect(refusal(host === undefined ? {} : { host }, guard)).not.toBeNull();
  });

  it('is the address bound to, and those of the machine when bound to all', () => {
    expect(allowedHosts('192.0.2.7', ['192.0.2.8'])).toContain('192.0.2.7');
    expect(allowedHosts('192.0.2.7', ['192.0.2.8'])).not.toContain('192.0.2.8');
    expect(allowedHosts('0.0.0.0', ['192.0.2.8', '2001:db8::1'])).toEqual(
      expect.arrayContaining(['192.0.2.8', '[2001:db8::1]']),
    );
  });
});

describe('origin', () => {
  const host = 'localhost:4870';

  it('may be absent (a script) or our own (a page)', () => {
    expect(refusal({ host }, guard)).toBeNull();
    expect(refusal({ host, origin: 'http://localhost:4870' }, guard)).toBeNull();
  });

  it.each([
    'http://station.example',
    'https://localhost:4870',
    'http://localhost',
    'http://localhost:5173',
    'http://127.0.0.1:4870',
    'null',
    '',
  ])('may not be %j', (origin) => {
    expect(refusal({ host, origin }, guard)).not.toBeNull();
  });

  it('of another port of this machine may with --open, of another machine never', () => {
    expect(refusal({ host, origin: 'http://localhost:5173' }, open)).toBeNull();
    expect(refusal({ host: 'localhost:5173', origin: 'http://localhost:5173' }, open)).toBeNull();
    expect(refusal({ host, origin: 'http://station.example' }, open)).not.toBeNull();
    expect(refusal({ host, origin: 'http://localhost.station.example' }, open)).not.toBeNull();
  });

  it('is also what the browser says of the site it came from', () => {
    const crossSite = { host, 'sec-fetch-site': 'cross-site' };
    expect(refusal({ ...crossSite, 'sec-fetch-mode': 'no-cors' }, guard)).not.toBeNull();
    expect(refusal({ ...crossSite, 'sec-fetch-mode': 'navigate' }, guard)).toBeNull();
  });
});
