/** The sentences of a report: who, how the numbers were made, and what is to be read with them. */
import { patternById } from '../../../shared/joints/index.ts';
import type { RecordingFacts, ReportFacts } from '../../../shared/report/facts.ts';
import type { ReportPart } from '../../../shared/report/part.ts';
import type { Report } from '../../../shared/report/report.ts';
import { number, withUnit } from '../format.ts';
import { desk } from '../i18n/desk.ts';
import { t } from '../i18n/index.ts';

/** More do not fit beside what the page must hold; the rest is counted. */
const MOST_CAUTIONS = 6;

export interface ReportLines {
  readonly heading: string;
  readonly sub: string;
  readonly who: readonly (readonly [string, string])[];
  readonly counted: string;
  readonly error: string;
  /** How much the repetitions that count vary. */
  readonly variation: string;
  readonly made: string;
  readonly cautions: readonly string[];
  readonly provenance: string;
}

const words = desk.report;

export function reportLines(
  facts: ReportFacts,
  parts: readonly ReportPart[],
  report: Report,
): ReportLines {
  const { recordings } = facts;
  const [first] = recordings;
  const name = patternById(first?.pattern ?? '')?.name ?? first?.pattern ?? '';
  const days = unique(recordings.map(({ startedAt }) => words.day(startedAt)));
  const hashes = unique(parts.map(({ recipeHash }) => recipeHash.slice(0, 12)));
  return {
    heading: [name, sidesOf(recordings)].filter((part) => part !== '').join(', '),
    sub: [first?.subject || words.noSubject, ...days].join(', '),
    who: whoOf(facts, report),
    counted: countedOf(report),
    error: errorOf(report),
    variation: variationOf(report),
    made: madeOf(facts, parts),
    cautions: cautionsOf(facts, parts),
    provenance: [
      `${words.recordings(recordings.length)} ${recordings.map(({ id }) => id).join(', ')}`,
      ...hashes.map((hash) => words.recipe(hash)),
      ...unique(recordings.map(({ software }) => software)),
    ].join(', '),
  };
}

function sidesOf(recordings: readonly RecordingFacts[]): string {
  const has = (side: string) => recordings.some((one) => one.side === side);
  if (has('left') && has('right')) return words.sides.both;
  return has('left') ? words.sides.left : has('right') ? words.sides.right : words.sides.none;
}

function whoOf({ subject, recordings }: ReportFacts, report: Report): [string, string][] {
  const sex = subject?.sex ?? '';
  const person = [
    subject?.age_years == null ? '' : words.years(subject.age_years),
    sex === 'female' || sex === 'male' || sex === 'other' ? words.sex[sex] : '',
    subject?.bodyMass_kg == null ? '' : words.kilograms(subject.bodyMass_kg),
    subject?.height_cm == null ? '' : words.metres(subject.height_cm),
  ].filter((one) => one !== '');
  const dominant = subject?.dominantSide;
  const modes: Readonly<Record<string, string>> = t.mode;
  const speeds = unique(
    report.strong.flatMap(({ effort: { speed_degps, action } }) =>
      speed_degps === null || action === 'isometric' ? [] : [number(speed_degps)],
    ),
  );
  const stations = unique(recordings.map(({ station }) => station));
  const isSimulated = recordings.some((one) => one.isSimulated);
  return [
    [words.subject, person.length > 0 ? person.join(', ') : words.notStated],
    [words.dominant, dominant === 'left' || dominant === 'right' ? t[dominant] : words.notStated],
    [words.mode, unique(recordings.map(({ mode }) => modes[mode] ?? mode)).join(', ')],
    ...(speeds.length > 0
      ? [[words.speeds, `${speeds.join(', ')} ${t.degreesPerSecond}`] as [string, string]]
      : []),
    [words.station, stations.join(', ') + (isSimulated ? `, ${words.simulated}` : '')],
  ];
}

function countedOf({ curves }: Report): string {
  const [first] = curves;
  if (!first) return '';
  const each = first.curves.map(({ side, n }) =>
    side === 'right' ? words.nRight(n) : words.nLeft(n),
  );
  return ` (${each.join(', ')})`;
}

function errorOf({ changed }: Report): string {
  if (changed.length === 0) return '';
  const known = changed.filter(({ error }) => error !== null);
  if (known.length === 0) return words.noError;
  const pairs = unique(known.map(({ error }) => number(error?.nPairs ?? 0)));
  const beyond = known.flatMap(({ dots, error, effort }) =>
    dots
      .filter(({ value }) => Math.abs(value) > (error?.mdc95_Nm ?? Infinity))
      .map(({ side }) => `${t[side]} ${effort.direction} ${t.speed(effort.speed_degps ?? 0)}`),
  );
  const said = beyond.length === 0 ? words.within : words.beyond(beyond.join(', '));
  return `${words.error(pairs.join(', '))} ${said}`;
}

function variationOf({ sure }: Report): string {
  const each = sure.map(({ effort, variation_pct: { right, left } }) => {
    const both = [
      ...(right === undefined ? [] : [`${t.right} ${withUnit(number(right, 1), '%')}`]),
      ...(left === undefined ? [] : [`${t.left} ${withUnit(number(left, 1), '%')}`]),
    ];
    return both.length === 0 ? '' : `${effort.direction} ${both.join(', ')}`;
  });
  const known = each.filter((one) => one !== '');
  return known.length === 0 ? '' : words.variation(known.join('; '));
}

function madeOf({ recordings }: ReportFacts, parts: readonly ReportPart[]): string {
  const [first] = parts;
  if (!first) return '';
  const gravities = unique(parts.map(({ gravity }) => gravity));
  const gravityWords: Readonly<Record<string, string>> = words.gravity;
  const lowpasses = unique(parts.map(({ torqueLowpass_Hz: hz }) => (hz === null ? 0 : hz)));
  return [
    words.samples(unique(parts.map(({ rate_Hz }) => number(rate_Hz))).join(', ')),
    gravities.length === 1 ? (gravityWords[gravities[0] ?? ''] ?? '') : words.gravityMixed,
    ...lowpasses.map((hz) => (hz === 0 ? words.noLowpass : words.lowpass(hz))),
    words.peak(first.loadRangeTolerance_pct),
    words.position(Math.max(...recordings.map(({ nPositions }) => nPositions))),
  ].join(' ');
}

/** What does not count first, then flags, then the record of the measurement; each once. */
function cautionsOf(facts: ReportFacts, parts: readonly ReportPart[]): readonly string[] {
  const reasonWords: Readonly<Record<string, string>> = t.ledger.reason;
  const isMany = parts.length > 1;
  const excluded = parts.flatMap(({ excluded: list, recording }) => {
    const side = facts.recordings.find(({ id }) => id === recording)?.side ?? '';
    const where = isMany && (side === 'left' || side === 'right') ? `${t[side]}, ` : '';
    return list.map(({ repetition, direction, reasons }) =>
      capital(
        words.excluded(
          where,
          repetition,
          direction,
          reasons.map((reason) => reasonWords[reason] ?? reason).join(', '),
        ),
      ),
    );
  });
  const flags = parts.flatMap((part) => part.flags);
  const all = unique([...excluded, ...flags, ...facts.recordings.flatMap((one) => one.cautions)]);
  if (all.length === 0) return [words.nothing];
  if (all.length <= MOST_CAUTIONS) return all;
  return [...all.slice(0, MOST_CAUTIONS - 1), words.more(all.length - MOST_CAUTIONS + 1)];
}

function unique<T>(values: readonly T[]): T[] {
  return [...new Set(values)];
}

function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
