/** The measured sample rate is not the announced one: every speed, work and time would be wrong by it. */
import type { Flag } from './flag.ts';
import type { LiveFlag } from './index.ts';
import { NO_FLAGS } from './watchers.ts';
import { tenths } from './words.ts';

export const rateOff: LiveFlag = {
  kind: 'rateOff',
  priority: 'medium',
  about: 'The measured sample rate differs from the announced one.',
  create({ rate_Hz, measuredRate_Hz, thresholds }) {
    const everySamples = Math.max(1, Math.round(rate_Hz));
    let nextAsk = -1;
    let newest = 0;
    let start = -1;
    let worst_Hz = rate_Hz;

    function ask(at: number): Flag | null {
      const measured_Hz = measuredRate_Hz();
      if (measured_Hz === null) return null;
      const off_pct = Math.abs(rateOff_pct(measured_Hz, rate_Hz));
      if (start < 0 && off_pct > thresholds.rateOff_pct) {
        start = at;
        worst_Hz = measured_Hz;
        return flag(at);
      }
      if (start < 0) return null;
      if (off_pct > Math.abs(rateOff_pct(worst_Hz, rate_Hz))) worst_Hz = measured_Hz;
      return off_pct < thresholds.rateOff_pct / 2 ? close(at) : null;
    }

    function flag(end: number): Flag {
      return rateOffFlag(worst_Hz, rate_Hz, start / rate_Hz, end / rate_Hz);
    }

    function close(at: number): Flag {
      const over = flag(at);
      start = -1;
      return over;
    }

    return {
      quiet: new Map(),
      push(scan) {
        newest = scan.index + scan.n;
        if (nextAsk < 0) nextAsk = scan.index + everySamples;
        if (newest <= nextAsk) return NO_FLAGS;
        const out: Flag[] = [];
        for (; nextAsk < newest; nextAsk += everySamples) {
          const told = ask(nextAsk);
          if (told !== null) out.push(told);
        }
        return out;
      },
      end: () => (start < 0 ? NO_FLAGS : [close(newest)]),
    };
  },
};

/** Signed difference of the measured rate, percent of the announced one. */
export function rateOff_pct(measured_Hz: number, announced_Hz: number): number {
  return 100 * (measured_Hz / announced_Hz - 1);
}

export function rateOffFlag(
  measured_Hz: number,
  announced_Hz: number,
  start_s: number,
  end_s: number,
): Flag {
  const off_pct = rateOff_pct(measured_Hz, announced_Hz);
  return {
    kind: 'rateOff',
    priority: 'medium',
    start_s,
    end_s,
    value: measured_Hz,
    limit: announced_Hz,
    unit: 'Hz',
    message:
      `The sample rate measures ${tenths(measured_Hz)} Hz, ${Math.abs(off_pct).toFixed(2)} % ` +
      `${off_pct > 0 ? 'above' : 'below'} the announced ${tenths(announced_Hz)} Hz: ` +
      'times and speeds are wrong by as much.',
  };
}
