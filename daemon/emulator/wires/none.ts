/** No wire at all: for runs that only write tables. */
import type { Wire } from './index.ts';

export function createNoWire(): Wire {
  const done = () => Promise.resolve();
  return {
    url: '',
    counts: { connections: 0, bytes: 0, overrunBytes: 0 },
    ready: done,
    send: done,
    shut: done,
    open: done,
    close: done,
  };
}
