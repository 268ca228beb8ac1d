/**
 * The built-in simulator as a source: real bytes at real pace, so that the demo goes the same way as
 * hardware. It never fails; only its words can be wrong.
 */
import { demoWiring } from '../../shared/simulation/outputs.ts';
import { UsageError } from '../cli/command.ts';
import { monotonic_ns } from '../clock.ts';
import { createDevice, type Device } from '../emulator/device.ts';
import { join } from '../emulator/join.ts';
import { createPace } from '../emulator/pace.ts';
import { readSettings } from '../emulator/settings.ts';
import type { Connection, Source, SourceSink } from './index.ts';

/** A receiver that starts in the middle learns the format within this time. */
const ANNOUNCE_EVERY_S = 1;

export const demo: Source = {
  id: 'demo',
  form: 'demo:?pattern=knee&subject=SH-03&script=isokinetic:60x5&seed=1&rate=1000',
  about: 'The built-in simulator: an invented subject on a simulated machine, in real time.',
  check(url) {
    if (url.target !== '') throw new UsageError(`demo: takes no ${url.target}: write demo:?seed=2`);
    readSettings(url.options);
  },
  wiring(url) {
    const { pattern, side } = readSettings(url.options);
    return demoWiring(pattern, side);
  },
  open: (url, sink, signal) =>
    new Promise((resolve) => {
      const device = createDevice({ ...readSettings(url.options), repeat: true });
      resolve(play(device, sink, signal));
    }),
};

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
    sink.bytes(join(frames), monotonic_ns());
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
