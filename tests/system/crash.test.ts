/**
 * The program dies without warning while it records (REC-1). What was acknowledged is there afterwards,
 * and nothing that was never received. MOMENTARM_KILLS asks for more than the usual twenty.
 */
import { expect, test } from 'vitest';
import { openStore } from '../../daemon/store/recordings.ts';
import { verifyRecording } from '../../daemon/store/verify.ts';
import { seeded } from '../support/damage.ts';
import { said, startRecording, tracing } from '../support/recording-child.ts';
import { readBack, withFolder, wrongSamples } from '../support/recordings.ts';

const KILLS = Number(process.env['MOMENTARM_KILLS'] ?? 20);
/** Each is mostly start-up of Node; more at once would only make them wait for each other. */
const AT_ONCE = 4;
const NOW = new Date('2026-11-08T08:00:00.000Z');

interface Outcome {
  readonly acknowledged: number;
  readonly recovered: number;
  readonly lost: number;
  readonly nWrong: number;
  readonly isSound: boolean;
}

async function killed(data: string, id: string, after_ms: number): Promise<Outcome> {
  const child = startRecording(data, id, 60);
  await child.ready;
  await new Promise((resolve) => setTimeout(resolve, after_ms));
  child.process.kill('SIGKILL');
  const { acknowledged, received } = said(await child.lines);
  const recordings = openStore(data);
  await recordings.recover(NOW);
  const { nRead, nWrong } = wrongSamples(readBack(data, id));
  const { isSound } = verifyRecording(`${data}/recordings/${id}`);
  return { acknowledged, recovered: nRead, lost: received - nRead, nWrong, isSound };
}

test(`killed ${KILLS} times at random moments`, async () => {
  const random = seeded(KILLS);
  const outcomes: Outcome[] = [];
  for (let k = 0; k < KILLS; k += AT_ONCE) {
    const batch = Array.from({ length: Math.min(AT_ONCE, KILLS - k) }, () =>
      withFolder((data) => killed(data, 'a', 1500 * random())),
    );
    outcomes.push(...(await Promise.all(batch)));
  }
  const sum = (of: (one: Outcome) => number) => outcomes.reduce((all, one) => all + of(one), 0);
  process.stderr.write(
    `killed ${KILLS} times: ${sum((one) => one.acknowledged)} samples acknowledged, ` +
      `${sum((one) => one.recovered)} recovered\n`,
  );
  expect(sum((one) => one.acknowledged)).toBeGreaterThan(0);
  for (const outcome of outcomes) {
    expect(outcome).toMatchObject({ nWrong: 0, isSound: true });
    expect(outcome.recovered).toBeGreaterThanOrEqual(outcome.acknowledged);
    // Received by the time of the last acknowledgement; 150 ms may still be on their way to the disk.
    expect(outcome.lost).toBeLessThanOrEqual(150);
  }
}, 600_000);

test('killed in the middle of its k-th write or sync', async () => {
  const kills = ['pwrite64', 'fdatasync', 'fsync', 'rename'].flatMap((call) =>
    [1, 3].map((k) => `${call}:signal=KILL:when=${k}`),
  );
  const killAt = (kill: string, tracer: readonly string[]) =>
    withFolder(async (data) => {
      const { acknowledged } = said(await startRecording(data, 'a', 1, tracer).lines);
      const recordings = openStore(data);
      await recordings.recover(NOW);
      const { nRead, nWrong } = wrongSamples(readBack(data, 'a'));
      const again = await recordings.recover(NOW);
      expect({ kill, nWrong, isKept: nRead >= acknowledged, again }).toEqual({
        kill,
        nWrong: 0,
        isKept: true,
        again: [],
      });
    });
  for (let k = 0; k < kills.length; k += AT_ONCE) {
    const batch = kills.slice(k, k + AT_ONCE).map((kill) => ({ kill, tracer: tracing(kill) }));
    await Promise.all(
      batch.flatMap(({ kill, tracer }) => (tracer === null ? [] : [killAt(kill, tracer)])),
    );
  }
}, 120_000);
