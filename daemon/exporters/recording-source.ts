/**
 * A recording as the source of an export: every channel as it came under its own name, beside it the
 * calibrated columns, and all that explains the numbers. A recording whose rate changed is refused.
 */
import type { StreamBlock, StreamFormat } from '../../shared/block/block.ts';
import { patternById } from '../../shared/joints/index.ts';
import type { StartDocument } from '../../shared/record/documents.ts';
import { assignedRecording, type Edits } from '../catalogue/edits.ts';
import type { WiredColumn } from '../../shared/wiring/wire.ts';
import { wiredAs } from '../store/columns.ts';
import { readSamples } from '../store/read-blocks.ts';
import { firstIndexOf, type Recording } from '../store/recording.ts';
import type { ExportColumn, ExportMarker, ExportSource } from './index.ts';
import { scan, type Scan } from './scan.ts';
import { KEY_COLUMNS } from './sidecar.ts';

/** Full scale of a channel whose device does not state its converter's ends. */
const UNKNOWN_SCALE = 10;

/** What was decided and computed: it goes into the provenance. */
export interface Findings {
  readonly edits: Edits;
  readonly results: object | null;
  readonly trust: object | null;
}

/** Or why it cannot leave, in words. */
export function exportSourceOf(
  original: Recording,
  findings: Findings,
): ExportSource | { problem: string } {
  const [file] = original.files;
  if (!file) return { problem: 'it holds no samples' };
  const { format } = file.header;
  if (original.files.some((other) => other.header.format.rate_Hz !== format.rate_Hz)) {
    return { problem: 'its sample rate changed on the way; export the parts as plain tables' };
  }
  const recording = assignedRecording(original, findings.edits);
  const { start, files } = recording;
  const columns = leavingColumns(start, format);
  const first = firstIndexOf(recording) ?? 0;
  const scanned = scan(recording, format, first);
  return {
    id: recording.id,
    rate_Hz: format.rate_Hz,
    end: scanned.end - first,
    startedAt: start?.startedAt ?? '1970-01-01T00:00:00.000Z',
    columns: columns.map((column) => exportColumn(column, scanned, start, format)),
    markers: markersOf(recording, first, format.rate_Hz, scanned),
    holes: scanned.holes,
    provenance: provenanceOf(original, recording, findings),
    *chunks() {
      for (const block of readSamples(files)) {
        yield { index: block.index - first, n: block.n, columns: calibrated(block, columns) };
      }
    },
  };
}

/** The start document as it was written, what was decided since, and what came of it. */
function provenanceOf(original: Recording, { start }: Recording, findings: Findings) {
  const { edits, results, trust } = findings;
  return {
    recording: original.id,
    subject: start?.conditions.subject ?? 'X',
    conditions: start?.conditions ?? null,
    gravity: start?.gravity ?? null,
    start: original.start,
    stop: original.stop,
    integrity: original.files[0]?.header.format.integrity,
    decisions: edits.items,
    results,
    trust,
    cautions: 'Recording and display only. Measurements, no diagnosis.',
  };
}

/** Slope 1 and offset 0 of a channel as it came. */
type LeavingColumn = Pick<
  WiredColumn,
  'name' | 'unit' | 'source' | 'slope' | 'offset' | 'delay_ms'
> & {
  readonly isCalibrated: boolean;
};

/** Calibrated columns, then every channel as it came that is not one of them already; names are unique. */
function leavingColumns(start: StartDocument | null, format: StreamFormat): LeavingColumn[] {
  const wired = wiredAs(start, format);
  const calibrated = ('plan' in wired ? wired.plan.columns : []).map((column) => {
    return { ...column, isCalibrated: true };
  });
  const isSame = (source: number) =>
    calibrated.some((own) => own.source === source && own.slope === 1 && own.offset === 0);
  const raw = format.channels.flatMap(({ name, unit }, source) =>
    isSame(source)
      ? []
      : [{ name, unit, source, slope: 1, offset: 0, delay_ms: 0, isCalibrated: false }],
  );
  const taken = new Set(KEY_COLUMNS.map(({ name }) => name));
  return [...calibrated, ...raw].map((column) => {
    const plain = column.name.replaceAll(/[^\w.-]/g, '_') || 'channel';
    let name = plain;
    for (let k = 2; taken.has(name); k += 1) name = k === 2 ? `${plain}_raw` : `${plain}_${k}`;
    taken.add(name);
    return { ...column, name };
  });
}

function calibrated(block: StreamBlock, columns: readonly LeavingColumn[]): Float64Array[] {
  return columns.map(({ source, slope, offset }) => {
    const raw = block.columns[source];
    if (!raw) return new Float64Array(block.n).fill(Number.NaN);
    if (slope === 1 && offset === 0) return raw;
    return raw.map((value) => slope * value + offset);
  });
}

/** Both ends in the column's unit; the smallest and largest value where the device states none. */
function scaleOf(
  { source, slope, offset }: LeavingColumn,
  { channels }: StreamFormat,
  scanned: Scan,
): { least: number; most: number } {
  const channel = channels[source];
  let least = channel?.rawMin ?? scanned.least[source] ?? Infinity;
  let most = channel?.rawMax ?? scanned.most[source] ?? -Infinity;
  if (!Number.isFinite(least) || !Number.isFinite(most) || least === most) {
    [least, most] = [-UNKNOWN_SCALE, UNKNOWN_SCALE];
  }
  const ends = [slope * least + offset, slope * most + offset];
  return { least: Math.min(...ends), most: Math.max(...ends) };
}

function exportColumn(
  column: LeavingColumn,
  scanned: Scan,
  start: StartDocument | null,
  format: StreamFormat,
): ExportColumn {
  const { name, unit, slope, offset, delay_ms, isCalibrated } = column;
  const scale = slope === 1 && offset === 0 ? '' : ` (${slope} * raw + ${offset})`;
  const late = delay_ms > 0 ? `; comes ${delay_ms} ms later than the limb, not moved` : '';
  const weight = name === 'torque_Nm' ? ', weight not removed' : '';
  const meaning = isCalibrated
    ? `${signInWords(name, start)}calibrated${scale}, unfiltered${weight}${late}`
    : 'as the device sent it';
  return { name, unit, meaning, ...scaleOf(column, format, scanned), delay_ms };
}

function signInWords(name: string, start: StartDocument | null): string {
  const pattern = patternById(start?.conditions.pattern ?? '');
  const isSigned = ['torque_Nm', 'angle_deg', 'velocity_degps'].includes(name);
  return pattern && isSigned ? `positive toward ${pattern.rising}; ` : '';
}

function markersOf(
  { events }: Recording,
  first: number,
  rate_Hz: number,
  { triggers }: Scan,
): ExportMarker[] {
  const set = events
    .filter(({ kind }) => kind === 'marker')
    .map(({ at, detail }) => {
      const text = detail['text'];
      const index = at - first;
      const words = typeof text === 'string' ? text : 'marker';
      return { index, time_s: index / rate_Hz, kind: 'marker' as const, text: words };
    });
  const found = triggers.map(({ index, rises }) => ({
    ...{ index, time_s: index / rate_Hz, kind: 'trigger' as const },
    text: rises ? 'trigger rises' : 'trigger falls',
  }));
  return [...set, ...found].sort((a, b) => a.index - b.index);
}
