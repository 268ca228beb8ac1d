/** Emitters that strangers wrote from README alone, compiled and run here, are read back exactly. */
import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { DialectId } from '../../shared/decode/index.ts';
import { hear } from '../support/wire.ts';

const SAMPLES = 12_345;
const EMITTERS = join(import.meta.dirname, '..', 'emitters');
const folder = mkdtempSync(join(tmpdir(), 'momentarm-emitters-'));
const compiled = join(folder, 'emitter');

beforeAll(() => {
  const flags = ['-O2', '-std=c99', '-Wall', '-Wextra', '-Werror'];
  execFileSync('cc', [...flags, '-o', compiled, join(EMITTERS, 'emitter.c')]);
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

function run(language: 'C' | 'Python', words: readonly string[]): Uint8Array {
  const script = join(EMITTERS, 'emitter.py');
  const [program, args] =
    language === 'C' ? [compiled, words] : (['python3', [script, ...words]] as const);
  return execFileSync(program, args, { maxBuffer: 1 << 26 });
}

const whole = (i: number, c: number): number => ((7 * i + 1000 * c) % 20001) - 10_000;

describe.each(['C', 'Python'] as const)('%s', (language) => {
  test.each(['int16', 'int24', 'float32', 'float64'])('packets of %s', (type) => {
    const heard = hear('packets', [run(language, ['packets', type, String(SAMPLES)])]);
    const scale = type.startsWith('float') ? 8 : 1;
    expect(heard.faults).toEqual([]);
    expect(heard.rows).toHaveLength(SAMPLES);
    for (const [i, row] of heard.rows.entries()) {
      if (row[1] !== i || [0, 1, 2].some((c) => row[2 + c] !== whole(i, c) / scale)) {
        expect.fail(`sample ${i} is ${row.join()}`);
      }
    }
    expect(heard.blocks[0]?.format).toMatchObject({
      rate_Hz: 1000,
      channels: [
        { name: 'torque', unit: 'counts', type, scale: { unit: 'V', slope: 0.001, offset: 0 } },
        { name: 'angle' },
        { name: 'emg' },
      ],
    });
  });

  test('lines', () => {
    const heard = hear('lines' satisfies DialectId, [
      run(language, ['lines', 'float64', String(SAMPLES)]),
    ]);
    expect(heard.faults).toEqual([]);
    expect(heard.rows).toHaveLength(SAMPLES);
    for (const [i, row] of heard.rows.entries()) {
      if (row[1] !== i || [0, 1, 2].some((c) => row[3 + c] !== whole(i, c) / 8)) {
        expect.fail(`sample ${i} is ${row.join()}`);
      }
    }
  });
});
