/** `--gravity`: none, a sinusoid by its two numbers, or a passive curve from a table. */
import type { Gravity } from '../../shared/gravity/gravity.ts';
import { curveTrouble } from '../../shared/gravity/monotone-cubic.ts';
import { readTable } from '../../shared/tables/read-table.ts';
import { readBytes } from './read-table-file.ts';

const FORM = 'none, sinusoid:AMPLITUDE_NM,HORIZONTAL_AT_DEG or curve:FILE';

type Read = { readonly gravity: Gravity } | { readonly problem: string };

export function readGravity(text: string): Read {
  if (text === 'none') return { gravity: { kind: 'none' } };
  const [kind = '', rest = ''] = splitOnce(text, ':');
  if (kind === 'sinusoid') return readSinusoid(rest);
  if (kind === 'curve' && rest !== '') return readCurve(rest);
  return { problem: `--gravity ${text} is not ${FORM}` };
}

/** A third number is the constant part of the passive reading. */
function readSinusoid(text: string): Read {
  const numbers = text.split(',').map((part) => (part.trim() === '' ? Number.NaN : Number(part)));
  const [amplitude_Nm, horizontalAt_deg, offset_Nm = 0] = numbers;
  if (
    amplitude_Nm === undefined ||
    horizontalAt_deg === undefined ||
    numbers.length > 3 ||
    !numbers.every(Number.isFinite)
  ) {
    return { problem: `--gravity sinusoid:${text} needs two numbers, e.g. sinusoid:-14,0` };
  }
  return { gravity: { kind: 'sinusoid', amplitude_Nm, horizontalAt_deg, offset_Nm } };
}

/** A table of `angle_deg` and `torque_Nm`, angles rising. */
function readCurve(path: string): Read {
  const bytes = readBytes(path);
  if ('problem' in bytes) return { problem: `--gravity curve ${path}: ${bytes.problem}` };
  const table = readTable(bytes.bytes, {});
  if ('problem' in table) return { problem: `--gravity curve ${path}: ${table.problem}` };
  const { angle, torque } = table.columns;
  if (!angle || !torque) {
    return { problem: `--gravity curve ${path}: it needs the columns angle_deg and torque_Nm` };
  }
  const angle_deg = [...angle];
  const torque_Nm = [...torque];
  const trouble = curveTrouble(angle_deg, torque_Nm);
  if (trouble !== null) return { problem: `--gravity curve ${path}: ${trouble}` };
  return { gravity: { kind: 'curve', angle_deg, torque_Nm } };
}

function splitOnce(text: string, at: string): [string, string] {
  const i = text.indexOf(at);
  return i < 0 ? [text, ''] : [text.slice(0, i), text.slice(i + 1)];
}
