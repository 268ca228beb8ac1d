/**
 * The built-in simulator as a source: real bytes at real pace, so that the demo goes the same way as
 * hardware. It never fails; only its words can be wrong.
 */
import { demoWiring } from '../../shared/simulation/outputs.ts';
import type { Wiring } from '../../shared/wiring/schema.ts';
import { monotonic_ns } from '../clock.ts';
import { createDevice, type Device } from '../emulator/device.ts';
import { createPace } from '../emulator/pace.ts';
import { readSettings } from '../emulator/settings.ts';
import type { Connection, Source, SourceSink, SourceUrl } from './index.ts';

/** A receiver that starts in the middle learns the format within this time. */
const ANNOUNCE_EVERY_S = 1;

export const demo: Source = {
  id: 'demo',
  form: 'demo:?pattern=knee&subject=SH-03&script=isokinetic:60x5&seed=1&rate=1000',
  about: 'The built-in simulator: an invented subject on a simulated machine, in real time.',
  open: (url, sink, signal) =>
    new Promise((resolve) => {
      const device = createDevice({ ...readSettings(url.options), repeat: true });
      resolve(play(device, sink, signal));
    }),
};

/** The wiring that belongs to what the URL simulates. */
export function wiringOfDemo(url: SourceUrl): Wiring | null {
  const { pattern, side } = readSettings(url.options);
  return demoWiring(pattern, side);
}

/** Sends pieces as they are due until somebody ends it. */
function play(device: Device, sink: SourceSink, signal: AbortSignal): Connection {
  const pieceRate_Hz = device.format.rate_Hz / device.pieceSamples;
  const announceEvery = Math.max(1, Math.round(ANNOUNCE_EVERY_S * pieceRate_Hz));
  const pace = createPace({ pieceRate_Hz, speedFactor: 1, ppm: 0, start_ns: monotonic_ns() });
  let nPieces = 0;
  let timer = setTimeout(tick, 0);

  function tick() {
    const { late, pieces } = pace.take(monotonic_ns());
    for (let k = 0; k < late + pieces; k++) send(k < late);
    timer = setTimeout(tick, pace.wait_ms(monotonic_ns()));
  }
  /** A late piece is one that a stall of more than a second cost: it is made and not sent. */
  function send(isLate: boolean) {
    if (nPieces++ % announceEvery === 0) sink.bytes(device.announcement(), monotonic_ns());
    const { frames } = device.next();
    if (isLate) return;
    for (const frame of frames) sink.bytes(frame, monotonic_ns());
  }

  let end: (why: string) => void = () => undefined;
  const closed = new Promise<string>((resolve) => {
    end = (why) => {
      clearTimeout(timer);
      resolve(why);
    };
  });
  if (signal.aborted) end('stopped');
  signal.addEventListener('abort', () => end('stopped'), { once: true });
  return {
    closed,
    close: () => {
      end('closed');
      return Promise.resolve();
    },
  };
}
