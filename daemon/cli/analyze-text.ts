/** An analysis as lines for a terminal: what a person looks at first, in columns. */
import type { AnalysisDocument, Phase, SetRow } from '../../shared/analysis-types.ts';

type Cell = string | number | null;

export function analysisText(document: AnalysisDocument): string[] {
  const { input, rate_Hz, phases, sets, ratios, flags, weighing } = document;
  const lines = [`${input}  ${String(rate_Hz)} Hz  ${gravityText(document)}`];
  const inferred = Object.entries(document.inferred);
  if (inferred.length > 0) {
    lines.push(
      `  inferred: ${inferred.map(([key, value]) => `${key} ${print(value)}`).join(', ')}`,
    );
  }
  if (phases.length === 0) lines.push('  no repetition found');
  else lines.push(...columns(PHASE_HEAD, phases.map(phaseCells)));
  if (sets.length > 0) lines.push('', ...columns(SET_HEAD, sets.map(setCells)));
  for (const { name, numerator, denominator, measure, value } of ratios) {
    const terms = `${numerator.effort} ${numerator.action} / ${denominator.effort} ${denominator.action}`;
    lines.push(`  ratio ${name}, ${measure}: ${digits(value, 3)} (${terms})`);
  }
  if (weighing) {
    const { amplitude_Nm, horizontalAt_deg, offset_Nm, identifiable } = weighing;
    const numbers = `A ${digits(amplitude_Nm, 2)} Nm, H ${digits(horizontalAt_deg, 1)} deg`;
    const doubt = identifiable ? '' : ', not identifiable over this range: use a curve';
    lines.push(`  weighing: ${numbers}, offset ${digits(offset_Nm, 2)} Nm${doubt}`);
  }
  for (const { priority, start_s, message } of flags) {
    lines.push(`  ${priority.padEnd(6)} ${digits(start_s, 2)} s  ${message}`);
  }
  return lines;
}

const PHASE_HEAD = [
  'rep',
  'direction',
  'effort',
  'action',
  'start s',
  'peak Nm',
  'at deg',
  'range deg',
  'work J',
  'power W',
  'counts',
];

function phaseCells(phase: Phase): Cell[] {
  return [
    String(phase.repetition),
    phase.direction,
    phase.effort,
    phase.action,
    digits(phase.start_s, 2),
    digits(phase.peakTorque_Nm, 1),
    digits(phase.angleAtPeakTorque_deg, 1),
    digits(phase.rangeOfMotion_deg, 1),
    digits(phase.work_J, 1),
    digits(phase.meanPower_W, 1),
    phase.counts ? 'yes' : `no: ${phase.reasons.join(', ')}`,
  ];
}

const SET_HEAD = ['set', 'effort', 'action', 'deg/s', 'n', 'best Nm', 'mean Nm', 'CV %', 'work J'];

function setCells(row: SetRow): Cell[] {
  return [
    row.direction,
    row.effort,
    row.action,
    digits(row.speed_degps, 0),
    String(row.repetitions),
    digits(row.bestPeakTorque_Nm, 1),
    digits(row.meanPeakTorque_Nm, 1),
    digits(row.coefficientOfVariation_pct, 1),
    digits(row.totalWork_J, 1),
  ];
}

function columns(head: readonly string[], rows: readonly (readonly Cell[])[]): string[] {
  const all = [head, ...rows];
  const widths = head.map((_, c) => Math.max(...all.map((row) => String(row[c]).length)));
  return all.map((row) =>
    `  ${row.map((cell, c) => String(cell).padEnd(widths[c])).join('  ')}`.trimEnd(),
  );
}

function gravityText({ gravity }: AnalysisDocument): string {
  switch (gravity.kind) {
    case 'none':
      return 'weight not removed';
    case 'sinusoid':
      return `weight removed: ${String(gravity.amplitude_Nm)} Nm at ${String(gravity.horizontalAt_deg)} deg`;
    case 'curve':
      return 'weight removed: curve';
  }
}

/** A dash for what does not apply: never 0. */
function digits(value: number | null, n: number): string {
  return value === null ? '-' : value.toFixed(n);
}

function print(value: unknown): string {
  return typeof value === 'string' ? value : JSON.stringify(value);
}
