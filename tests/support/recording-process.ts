/**
 * A process that does nothing but record, to be killed, starved and lied to by tests.
 * Arguments: data folder, id, seconds. Prints `ack SAMPLES RECEIVED` whenever more is durable, every
 * fault, and after its time or SIGTERM `pause MS`, the longest time it was kept from running, and the
 * closing document.
 */
import { formatOf, blockAt, NORTH } from './recordings.ts';
import { createRecorder } from '../../daemon/sinks/recorder.ts';
import { monotonic_ns, wallClock } from '../../daemon/clock.ts';

const [data = '', id = '', seconds = '1'] = process.argv.slice(2);
const say = (line: string) => process.stdout.write(`${line}\n`);
const format = formatOf(['int16', 'int16', 'int16', 'float32']);
const recorder = createRecorder({
  folder: `${data}/recordings/${id}`,
  start: { id, ...NORTH, stream: format },
  clock: { monotonic_ns, wallClock },
  onFault: ({ code, at, detail }) => say(`fault ${code} ${at} ${detail}`),
});
const trouble = await recorder.ready;
if (trouble !== null) {
  say(`refused ${trouble.code} ${trouble.detail}`);
  process.exit(0);
}
say('ready');

const begun_ns = monotonic_ns();
let index = 0;
let acknowledged = 0;
let lastTurn_ns = begun_ns;
let longestPause_ms = 0;
const timer = setInterval(() => {
  const now_ns = monotonic_ns();
  longestPause_ms = Math.max(longestPause_ms, (now_ns - lastTurn_ns) / 1e6);
  lastTurn_ns = now_ns;
  for (; index + 20 <= (monotonic_ns() - begun_ns) / 1e6; index += 20) {
    recorder.write({ ...blockAt(format, index, 20), arrival_ns: monotonic_ns() });
  }
  const { durableSamples, samples } = recorder.status();
  if (durableSamples === acknowledged) return;
  acknowledged = durableSamples;
  say(`ack ${durableSamples} ${samples}`);
}, 5);

async function end(): Promise<void> {
  clearInterval(timer);
  say(`pause ${longestPause_ms.toFixed(0)}`);
  const stop = await recorder.close('the time was over', 5000);
  say(`stop ${JSON.stringify(stop)}`);
  process.exit(0);
}

setTimeout(() => void end(), Number(seconds) * 1000);
process.on('SIGTERM', () => void end());
