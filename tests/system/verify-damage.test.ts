/**
 * Damage in every way a disk knows: none goes unnoticed, no wrong sample is read, and only the blocks
 * that were hit are lost. Counts as in the goals REC-3 of the design; MOMENTARM_FLIPS asks for more.
 */
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { blockLayout } from '../../shared/record/layout.ts';
import { flipped, originalOf, seeded, withDamage, type Original } from '../support/damage.ts';
import { blocksOver, formatOf, recordBlocks } from '../support/recordings.ts';

const FLIPS = Number(process.env['MOMENTARM_FLIPS'] ?? 10_000);
const FORMAT = formatOf(['int16', 'int24', 'float32']);
const { stride, capacity } = blockLayout(FORMAT);
const HEAD = 4096;
const SAMPLES = 480;
const STREAM = 'stream-0.blk';

let data = '';
let original: Original = { folder: '', files: new Map() };
let stream: Buffer = Buffer.alloc(0);

beforeAll(async () => {
  data = mkdtempSync(join(tmpdir(), 'momentarm-damage-'));
  const isMissing = (index: number) => index === 1040;
  const blocks = blocksOver(FORMAT, 1000, 1000 + SAMPLES, isMissing);
  const { folder } = await recordBlocks(data, 'a', blocks);
  original = originalOf(folder);
  stream = original.files.get(STREAM) ?? stream;
});

afterAll(() => rmSync(data, { recursive: true, force: true }));

const READ = SAMPLES - 20;

describe('damage', () => {
  test(`${FLIPS} single-bit flips anywhere in the folder`, () => {
    const random = seeded(1);
    const names = [...original.files.keys()];
    const total = [...original.files.values()].reduce((sum, bytes) => sum + bytes.length, 0);
    const wrong: string[] = [];
    for (let k = 0; k < FLIPS; k += 1) {
      let bit = Math.floor(random() * total * 8);
      const name = names.find((candidate) => {
        const bits = (original.files.get(candidate)?.length ?? 0) * 8;
        if (bit < bits) return true;
        bit -= bits;
        return false;
      });
      if (name === undefined) throw new Error('a bit outside all files');
      const bytes = original.files.get(name) ?? Buffer.alloc(0);
      const outcome = withDamage(original, name, flipped(bytes, bit));
      const leastRead = name === STREAM ? READ - capacity : READ;
      if (!outcome.isNoticed || outcome.nWrong > 0 || outcome.nRead < leastRead) {
        wrong.push(`${name} bit ${bit}: ${JSON.stringify(outcome)}`);
      }
    }
    expect(wrong).toEqual([]);
  });

  test('the stream file cut at every byte', () => {
    const wrong: string[] = [];
    for (let length = 0; length < stream.length; length += 1) {
      const outcome = withDamage(original, STREAM, stream.subarray(0, length));
      const whole = Math.max(Math.floor((length - HEAD) / stride), 0);
      const leastRead = Math.max(whole * capacity - 20, 0);
      const isRead = outcome.nRead >= leastRead && outcome.lostSamples >= READ - outcome.nRead;
      if (!outcome.isNoticed || outcome.nWrong > 0 || !isRead) {
        wrong.push(`${length}: ${JSON.stringify(outcome)}`);
      }
    }
    expect(wrong).toEqual([]);
  });

  test('pages of zeros, swapped blocks, tails of another recording, doubled blocks', async () => {
    const other = await recordBlocks(data, 'other', blocksOver(FORMAT, 5000, 5000 + SAMPLES));
    const stale = originalOf(other.folder).files.get(STREAM) ?? Buffer.alloc(0);
    const random = seeded(2);
    const pick = (below: number) => Math.floor(random() * below);
    const nBlocks = (stream.length - HEAD) / stride;
    const blockAt = (bytes: Buffer, k: number) =>
      bytes.subarray(HEAD + k * stride, HEAD + (k + 1) * stride);
    const wrong: string[] = [];
    for (let k = 0; k < 500; k += 1) {
      const bytes = Buffer.from(stream);
      const [a, b] = [pick(nBlocks), pick(nBlocks - 1)];
      const other = b >= a ? b + 1 : b;
      if (k % 4 === 0)
        bytes.fill(0, HEAD + a * stride, Math.min(HEAD + (a + 1 + pick(3)) * stride, bytes.length));
      if (k % 4 === 1) {
        blockAt(stream, a).copy(bytes, HEAD + other * stride);
        blockAt(stream, other).copy(bytes, HEAD + a * stride);
      }
      if (k % 4 === 2) stale.copy(bytes, HEAD + a * stride, HEAD + a * stride);
      if (k % 4 === 3) blockAt(stream, a).copy(bytes, HEAD + other * stride);
      const outcome = withDamage(original, STREAM, bytes);
      if (!outcome.isNoticed || outcome.nWrong > 0) wrong.push(`${k}: ${JSON.stringify(outcome)}`);
    }
    expect(wrong).toEqual([]);
  });
});
