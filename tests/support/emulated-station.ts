/** A whole station on a TCP line with the emulated machine behind it, faster than real time. */
import * as v from 'valibot';
import { demoWiring } from '../../shared/simulation/outputs.ts';
import type { Wiring } from '../../shared/wiring/schema.ts';
import { startEmulation } from './demo-emulator.ts';
import { openTestStation, type TestStation } from './station.ts';

export interface EmulatedStation extends TestStation {
  /** Asks the API; rejects with the problem's words unless it answers as expected. */
  ask(method: 'GET' | 'PUT' | 'POST', path: string, body?: unknown): Promise<unknown>;
  /** Waits until `seen` of the reply to a GET is not null, and gives it back. */
  until<T>(path: string, seen: (reply: unknown) => T | null, patience_ms?: number): Promise<T>;
}

export interface EmulatedOptions {
  readonly script: string;
  readonly speedFactor?: number;
  readonly rewire?: (wiring: Wiring) => Wiring;
}

const problem = v.object({ detail: v.string() });

export async function openEmulatedStation({
  script,
  speedFactor = 10,
  rewire = (wiring) => wiring,
}: EmulatedOptions): Promise<EmulatedStation> {
  const emulation = startEmulation([
    ...['tcp://127.0.0.1:0?format=packets', '--script', script, '--once'],
    ...['--speed-factor', String(speedFactor)],
  ]);
  // It ends when the station goes away, which is no trouble.
  emulation.done.catch(() => undefined);
  const test = await openTestStation(`${await emulation.url}`);
  const own = demoWiring('ankle-plantarflexion-dorsiflexion', 'right');
  if (!own) throw new Error('the demo has no wiring');
  const problems = await test.station.changeWiring(rewire(own));
  if (problems.length > 0) throw new Error(problems.join('; '));

  const ask: EmulatedStation['ask'] = async (method, path, body) => {
    const response = await fetch(test.url + path, {
      method,
      ...(body === undefined
        ? {}
        : { headers: { 'Content-Type': 'application/json' }, body: JSON.stringify(body) }),
    });
    const reply: unknown = await response.json();
    if (!response.ok) throw new Error(v.parse(problem, reply).detail);
    return reply;
  };
  return {
    ...test,
    ask,
    async until(path, seen, patience_ms = 20_000) {
      const end_ms = performance.now() + patience_ms;
      for (;;) {
        const reply = await ask('GET', path);
        const found = seen(reply);
        if (found !== null) return found;
        if (performance.now() > end_ms) throw new Error(`still ${JSON.stringify(reply)}`);
        await new Promise((resolve) => setTimeout(resolve, 50));
      }
    },
  };
}
