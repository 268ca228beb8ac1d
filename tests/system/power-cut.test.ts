/**
 * The power goes while a recording runs (REC-2): from the calls a recording made, states of the disk are
 * rebuilt in which what was not synced is there or not, in any order. Nothing acknowledged may be lost.
 * MOMENTARM_POWER_CUTS asks for more than the usual 200.
 */
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { expect, test } from 'vitest';
import { openStore } from '../../daemon/store/recordings.ts';
import { seeded } from '../support/damage.ts';
import { diskAfter, readTrace, type Traced } from '../support/power-cut.ts';
import { said, startRecording, tracing } from '../support/recording-child.ts';
import { readBack, withFolder, wrongSamples } from '../support/recordings.ts';

const CUTS = Number(process.env['MOMENTARM_POWER_CUTS'] ?? 200);
const CALLS = 'mkdir,openat,close,write,pwrite64,fsync,fdatasync,rename,unlink';

/** What the process had acknowledged before place `cut` of the trace. */
function acknowledgedBefore({ printed }: Traced, cut: number): number {
  const before = printed.filter(({ begin }) => begin < cut);
  return said([
    ...before
      .map(({ text }) => text)
      .join('')
      .split('\n'),
    '',
  ]).acknowledged;
}

test(`${CUTS} power cuts lose nothing that was acknowledged`, async () => {
  if (tracing('fsync:error=EIO:when=1') === null) return;
  await withFolder(async (work) => {
    const trace = join(work, 'trace');
    const data = join(work, 'data');
    mkdirSync(data);
    const tracer = [
      'strace',
      '-f',
      '-qq',
      '-xx',
      '-s',
      '2000000',
      '-o',
      trace,
      '-e',
      `trace=${CALLS}`,
    ];
    const whole = said(await startRecording(data, 'a', 2.5, tracer).lines);
    expect(whole.stop).toMatchObject({ status: 'complete', lost: [] });
    const text = readFileSync(trace, 'utf8');
    const traced = readTrace(text, data);
    const length = text.split('\n').length;
    const first = traced.names[0]?.begin ?? 0;
    const random = seeded(CUTS);
    const bad: string[] = [];
    let acknowledgedInAll = 0;
    for (let k = 0; k < CUTS; k += 1) {
      const cut = first + Math.floor(random() * (length + 1 - first));
      const state = join(work, `state-${k}`);
      mkdirSync(join(state, 'recordings'), { recursive: true });
      for (const [path, bytes] of diskAfter(traced, cut, random)) {
        const to = join(state, path.slice(data.length));
        mkdirSync(dirname(to), { recursive: true });
        writeFileSync(to, bytes);
      }
      const store = openStore(state);
      await store.recover(new Date(0));
      const { nRead, nWrong } = wrongSamples(readBack(state, 'a'));
      const acknowledged = acknowledgedBefore(traced, cut);
      acknowledgedInAll += acknowledged;
      if (nWrong > 0 || nRead < acknowledged) {
        bad.push(`cut ${cut}: ${acknowledged} acknowledged, ${nRead} read, ${nWrong} wrong`);
      }
    }
    expect(bad).toEqual([]);
    expect(acknowledgedInAll).toBeGreaterThan(CUTS * 100);
  });
});
