/**
 * A recording as the source of an export: every channel as it came under its own name, beside it the
 * calibrated columns, and all that explains the numbers. A recording whose rate changed is refused.
 */
import type { StreamBlock, StreamFormat } from '../../shared/block/block.ts';
import { patternById } from '../../shared/joints/index.ts';
import type { StartDocument } from '../../shared/record/documents.ts';
import { columnsOf, type RecordedColumn } from '../store/columns.ts';
import { readSamples } from '../store/read-blocks.ts';
import { firstIndexOf, type Recording } from '../store/recording.ts';
import type { ExportColumn, ExportMarker, ExportSource } from './index.ts';

/** Full scale of a channel whose device does not state its converter's ends. */
const UNKNOWN_SCALE = 10;

/** Or why it cannot leave, in words. `more` joins the provenance (results, recipe, decisions). */
export function exportSourceOf(
  recording: Recording,
  more: Readonly<Record<string, unknown>> = {},
): ExportSource | { problem: string } {
  const [file] = recording.files;
  if (!file) return { problem: 'it holds no samples' };
  const { format } = file.header;
  if (recording.files.some((other) => other.header.format.rate_Hz !== format.rate_Hz)) {
    return { problem: 'its sample rate changed on the way; export the parts as plain tables' };
  }
  const { start, stop } = recording;
  const columns = columnsOf(start, format);
  const first = firstIndexOf(recording) ?? 0;
  const scales = columns.map((column) => scaleOf(column, format, recording));
  return {
    id: recording.id,
    rate_Hz: format.rate_Hz,
    end: endOf(recording) - first,
    startedAt: start?.startedAt ?? '1970-01-01T00:00:00.000Z',
    columns: columns.map((column, c) => exportColumn(column, scales[c], { start, format })),
    markers: markersOf(recording, first, format.rate_Hz),
    provenance: { ...provenanceOf(recording), ...more },
    *chunks() {
      for (const block of readSamples(recording.files)) {
        yield { index: block.index - first, n: block.n, columns: calibrated(block, columns) };
      }
    },
  };

  function provenanceOf({ id, files }: Recording) {
    return {
      recording: id,
      subject: start?.conditions.subject ?? 'X',
      start,
      stop,
      integrity: files[0]?.header.format.integrity,
      cautions: 'Recording and display only. Measurements, no diagnosis.',
    };
  }
}

function endOf({ stop, files }: Recording): number {
  if (stop) return stop.endIndex;
  let end = 0;
  for (const block of readSamples(files)) end = block.index + block.n;
  return end;
}

function calibrated(block: StreamBlock, columns: readonly RecordedColumn[]): Float64Array[] {
  return columns.map(({ source, slope, offset }) => {
    const raw = block.columns[source];
    if (!raw) return new Float64Array(block.n).fill(Number.NaN);
    if (slope === 1 && offset === 0) return raw;
    return raw.map((value) => slope * value + offset);
  });
}

/** Both ends in the column's unit; the smallest and largest value where the device states none. */
function scaleOf(
  { source, slope, offset }: RecordedColumn,
  format: StreamFormat,
  recording: Recording,
): [number, number] {
  const channel = format.channels[source];
  let least = channel?.rawMin;
  let most = channel?.rawMax;
  if (least === undefined || most === undefined) {
    least = Infinity;
    most = -Infinity;
    for (const block of readSamples(recording.files)) {
      for (const value of block.columns[source] ?? []) {
        if (value < least) least = value;
        if (value > most) most = value;
      }
    }
  }
  if (!Number.isFinite(least) || !Number.isFinite(most) || least === most) {
    [least, most] = [-UNKNOWN_SCALE, UNKNOWN_SCALE];
  }
  const ends = [slope * least + offset, slope * most + offset];
  return [Math.min(...ends), Math.max(...ends)];
}

function exportColumn(
  { name, unit, slope, offset }: RecordedColumn,
  scale: [number, number] | undefined,
  { start, format }: { start: StartDocument | null; format: StreamFormat },
): ExportColumn {
  const [least, most] = scale ?? [-UNKNOWN_SCALE, UNKNOWN_SCALE];
  const channel = format.channels.find((one) => one.name === name && slope === 1 && offset === 0);
  const meaning = channel
    ? 'as the device sent it'
    : `${signInWords(name, start)}calibrated (${slope} * raw + ${offset}), unfiltered, weight not removed`;
  return { name, unit, meaning, least, most };
}

function signInWords(name: string, start: StartDocument | null): string {
  const pattern = patternById(start?.conditions.pattern ?? '');
  const isSigned = ['torque_Nm', 'angle_deg', 'velocity_degps'].includes(name);
  return pattern && isSigned ? `positive toward ${pattern.rising}; ` : '';
}

function markersOf(recording: Recording, first: number, rate_Hz: number): ExportMarker[] {
  return recording.events
    .filter(({ kind }) => kind === 'marker')
    .map(({ at, detail }) => {
      const text = detail['text'];
      return { time_s: (at - first) / rate_Hz, text: typeof text === 'string' ? text : 'marker' };
    });
}
