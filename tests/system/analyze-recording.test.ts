/** `analyze` of recordings: by id, by folder, damaged; the same numbers as of a table of the same samples. */
import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import type { AnalysisDocument, Signal } from '../../shared/analysis-types.ts';
import type { StreamBlock, StreamFormat } from '../../shared/block/block.ts';
import { reciprocalSet } from '../support/analysis-signal.ts';
import { runProgram } from '../support/daemon.ts';
import { recordBlocks, withFolder } from '../support/recordings.ts';

const FORMAT: StreamFormat = {
  rate_Hz: 1000,
  channels: [
    { name: 'torque_Nm', unit: 'Nm', type: 'float64' },
    { name: 'angle_deg', unit: 'deg', type: 'float64' },
  ],
  integrity: 'crc32',
  notes: {},
};
const BLOCK = 20;

function blocksOf(signal: Signal): StreamBlock[] {
  const n = signal.time_s.length - (signal.time_s.length % BLOCK);
  return Array.from({ length: n / BLOCK }, (_, k) => {
    const index = k * BLOCK;
    const columns = [signal.torque_Nm, signal.angle_deg ?? new Float64Array()].map((column) =>
      column.slice(index, index + BLOCK),
    );
    const arrival_ns = (index + BLOCK) * 1e6;
    return { format: FORMAT, run: 0, first: index, n: BLOCK, columns, index, arrival_ns };
  });
}

const signal = reciprocalSet({ repetitions: 2, noise: [1, 0.1] });
const ID = '20261107-091500-0001';

async function analyze(...args: readonly string[]) {
  const { code, out, err } = await runProgram(['analyze', ...args, '--json', '--plain']);
  return { code, err, document: out === '' ? null : (JSON.parse(out) as AnalysisDocument) };
}

describe('a recording', () => {
  it('is found by its id and by its folder, and has what its start document states', async () => {
    await withFolder(async (data) => {
      const { folder } = await recordBlocks(data, ID, blocksOf(signal));
      const byId = await analyze(ID, '--data', data);
      expect({ code: byId.code, err: byId.err }).toEqual({ code: 0, err: '' });
      // The start document names the pattern: directions are in its words.
      expect(byId.document?.phases.map(({ direction }) => direction)).toEqual([
        'flexion',
        'extension',
        'flexion',
        'extension',
      ]);
      const byFolder = await analyze(folder);
      expect(byFolder.document?.phases).toEqual(byId.document?.phases);
    });
  });

  it('gives the numbers of a table of the same samples, digit for digit', async () => {
    await withFolder(async (data) => {
      await recordBlocks(data, ID, blocksOf(signal));
      const rows = Array.from(signal.torque_Nm, (torque, i) => {
        return `${String(i / 1000)},${String(torque)},${String(signal.angle_deg?.[i])}`;
      });
      const n = rows.length - (rows.length % BLOCK);
      const table = join(data, 'same.csv');
      writeFileSync(table, `time_s,torque_Nm,angle_deg\n${rows.slice(0, n).join('\n')}\n`);
      const ofRecording = await analyze(ID, '--data', data, '--mode', 'isokinetic');
      const ofTable = await analyze(
        ...[
          table,
          '--mode',
          'isokinetic',
          '--pattern',
          'knee-extension-flexion',
          '--side',
          'right',
        ],
      );
      expect(ofRecording.document?.phases).toEqual(ofTable.document?.phases);
      expect(ofRecording.document?.sets).toEqual(ofTable.document?.sets);
    });
  });

  it('with a damaged block is analysed without it, told, and ends with 1', async () => {
    await withFolder(async (data) => {
      const { folder } = await recordBlocks(data, ID, blocksOf(signal));
      const name = readdirSync(folder).find((file) => file.endsWith('.blk')) ?? '';
      const bytes = readFileSync(join(folder, name));
      bytes[bytes.length >> 1] ^= 0xff;
      writeFileSync(join(folder, name), bytes);
      const { code, err, document } = await analyze(ID, '--data', data);
      expect(code).toBe(1);
      expect(err).toContain(name);
      expect(document?.flags.some(({ kind }) => kind === 'gap')).toBe(true);
    });
  });
});
