/** The questions of a report as rows to draw: axis, dots and the numbers in words. */
import type { Dot, EffortName, Report } from '../../../shared/report/report.ts';
import { roundAbove } from '../../../shared/report/report.ts';
import { number, withUnit } from '../format.ts';
import { desk } from '../i18n/desk.ts';
import { t } from '../i18n/index.ts';

export interface ReportRow {
  readonly effort: EffortName;
  readonly says: string;
  readonly from: number;
  readonly to: number;
  readonly mark?: number;
  readonly dots: readonly Dot[];
}

export interface ReportRows {
  readonly strong: readonly ReportRow[];
  readonly alike: readonly ReportRow[];
  readonly changed: readonly ReportRow[];
  readonly sure: readonly ReportRow[];
}

/** Dense rows leave out what the key says: `94 / 97` is right and left. */
export function reportRows(report: Report, isDense: boolean): ReportRows {
  const sides = isDense ? briefSides : namedSides;
  return {
    strong: report.strong.map(({ effort, most, dots }) => ({
      ...{ effort, from: 0, to: most, dots, says: strengths(dots, sides) },
    })),
    alike: report.alike.map(({ effort, value_pct, interval_pct }) => {
      const away = [value_pct, ...(interval_pct ?? [])].map((one) => Math.abs(one - 100));
      const half = Math.min(100, roundAbove(Math.max(10, ...away)));
      const dot = { side: 'left', when: 'now', value: value_pct, interval: interval_pct } as const;
      const says = withUnit(number(value_pct), '%');
      return { effort, says, from: 100 - half, to: 100 + half, mark: 100, dots: [dot] };
    }),
    changed: report.changed.map(({ effort, most, dots }) => ({
      ...{ effort, from: -most, to: most, mark: 0, dots },
      says: sides(dots, ({ value }) => signed(value, most < 10 ? 1 : 0)),
    })),
    sure: report.sure.map(({ effort, dots }) => ({
      ...{ effort, dots, ...closeTo(dots) },
      says: sides(dots, ({ interval, value }) => {
        const [low, high] = interval ?? [value, value];
        return `${number(low)}\u2013${number(high)}`;
      }),
    })),
  };
}

/** From a tenth below to a tenth above: a span of recipes is not seen on an axis from zero. */
function closeTo(dots: readonly Dot[]): { from: number; to: number } {
  const all = dots.flatMap(({ value, interval }) => [value, ...(interval ?? [])]);
  return { from: Math.floor(0.9 * Math.min(...all)), to: Math.ceil(1.1 * Math.max(...all)) };
}

type Sides = (dots: readonly Dot[], say: (dot: Dot) => string) => string;

function strengths(dots: readonly Dot[], sides: Sides): string {
  const at = (when: Dot['when']) => dots.filter((dot) => dot.when === when);
  const say = ({ value }: Dot) => number(value);
  const now = sides(at('now'), say);
  const before = at('before');
  return before.length === 0 ? now : `${now}; ${desk.report.lastTime} ${sides(before, say)}`;
}

const namedSides: Sides = (dots, say) => dots.map((dot) => `${t[dot.side]} ${say(dot)}`).join(', ');

const briefSides: Sides = (dots, say) =>
  dots.length === 2 ? dots.map(say).join(' / ') : namedSides(dots, say);

function signed(value: number, digits: number): string {
  const text = number(value, digits);
  return value > 0 && Number(text) !== 0 ? `+${text}` : text;
}
