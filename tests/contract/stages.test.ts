/** Every stage keeps the contract: any cut, past only, own columns, whole again after what is missing. */
import { describe, expect, test } from 'vitest';
import { LIVE_CHOICES } from '../../shared/pipeline.ts';
import { stagesMarkdown } from '../../shared/stages/markdown.ts';
import { STAGES, type RunningStage, type Stage } from '../../shared/stages/index.ts';
import { fullPlan, rawColumns } from '../support/random-stream.ts';

const choices = {
  ...LIVE_CHOICES,
  gravity: { kind: 'sinusoid', amplitude_Nm: 12, horizontalAt_deg: -10, offset_Nm: 0.8 },
} as const;
const N = 400;

function running(stage: Stage): RunningStage {
  return (
    stage.create(fullPlan, choices, new Set(['torque_Nm', 'angle_deg'])) ?? expect.fail('no work')
  );
}

/** Calibrate needs no columns before it, the others find torque and angle. */
function inputsOf(stage: RunningStage, seed: number, missingOneIn: number): Float64Array[] {
  const [torque = expect.fail(), angle = expect.fail(), emg = expect.fail()] = rawColumns(
    seed,
    N,
    missingOneIn,
  );
  const named = new Map<string | number, Float64Array>([
    ['torque_Nm', torque],
    ['muscleTorque_Nm', torque],
    ['angle_deg', angle],
    [0, torque],
    [1, angle],
    [2, emg],
  ]);
  return stage.reads.map((read) => named.get(read) ?? expect.fail(`reads ${read}`));
}

function runWhole(stage: RunningStage, inputs: readonly Float64Array[]): Float64Array[] {
  const outputs = stage.writes.map(() => new Float64Array(N));
  stage.run(inputs, outputs, N);
  return outputs;
}

function runInPieces(
  stage: RunningStage,
  inputs: readonly Float64Array[],
  piece: number,
): Float64Array[] {
  const outputs = stage.writes.map(() => new Float64Array(N));
  for (let first = 0; first < N; first += piece) {
    const part = (column: Float64Array) => column.subarray(first, first + piece);
    stage.run(inputs.map(part), outputs.map(part), Math.min(piece, N - first));
  }
  return outputs;
}

test("the README's table has a row for every stage", () => {
  for (const { id, about } of STAGES)
    expect(stagesMarkdown()).toContain(`| \`${id}\` | ${about} |`);
});

test('ids are unique', () => {
  expect(new Set(STAGES.map((stage) => stage.id)).size).toBe(STAGES.length);
});

describe.each(STAGES.map((stage): [string, Stage] => [stage.id, stage]))('%s', (_, stage) => {
  test('says in one sentence what it does', () => {
    expect(stage.about).toMatch(/^[A-Z].{10,100}\.$/);
  });

  test.each([1, 7, 20, 399])('gives the same bits in pieces of %d', (piece) => {
    const inputs = inputsOf(running(stage), 1, 30);
    expect(runInPieces(running(stage), inputs, piece)).toEqual(runWhole(running(stage), inputs));
  });

  test('looks at the past only', () => {
    const inputs = inputsOf(running(stage), 2, 30);
    const changed = inputs.map((column) =>
      column.map((value, i) => (i < 300 ? value : -value - 1)),
    );
    const [before, after] = [inputs, changed].map((columns) =>
      runWhole(running(stage), columns).map((column) => [...column.subarray(0, 300)]),
    );
    expect(after).toEqual(before);
  });

  test('leaves its inputs alone', () => {
    const inputs = inputsOf(running(stage), 3, 30);
    const copies = inputs.map((column) => column.slice());
    runWhole(running(stage), inputs);
    expect(inputs).toEqual(copies);
  });

  test('has numbers again right after what is missing, and never an infinity', () => {
    const inputs = inputsOf(running(stage), 4, Infinity);
    for (const column of inputs) column.fill(Number.NaN, 100, 110);
    for (const column of inputs) column[150] = -Infinity;
    for (const column of runWhole(running(stage), inputs)) {
      expect(column.some((value) => Math.abs(value) === Infinity)).toBe(false);
      expect(column.subarray(10, 100).every(Number.isFinite)).toBe(true);
      expect(column.subarray(120, 150).every(Number.isFinite)).toBe(true);
      expect(column.subarray(160).every(Number.isFinite)).toBe(true);
    }
  });

  test('forgets at a restart', () => {
    const inputs = inputsOf(running(stage), 5, 30);
    const used = running(stage);
    runWhole(used, inputsOf(used, 6, 30));
    used.restart();
    expect(runWhole(used, inputs)).toEqual(runWhole(running(stage), inputs));
  });

  test('has nothing to do without its columns', () => {
    const without = stage.create({ ...fullPlan, columns: [] }, choices, new Set());
    expect(without === null || without.writes.length === 0).toBe(true);
  });
});
