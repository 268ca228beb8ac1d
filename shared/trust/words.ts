/** The trust record in sentences a tired person understands, and the limits beyond which one should look. */
import type { TrustFacts } from './trust.ts';

export interface TrustLine {
  readonly topic: keyof Omit<TrustFacts, 'recording'>;
  /** `known`: measured, nothing stands out; `look`: a person should; `unknown`: nobody measured it. */
  readonly state: 'known' | 'look' | 'unknown';
  readonly text: string;
}

/** Common practice, no source: a calibration is repeated at least once a quarter. */
const OLD_CALIBRATION_DAYS = 92;
/** Common practice, no source. */
const TARE_DRIFT_NM = 1;
/** A quartz in a cheap converter is within 100 ppm; ten times that is another rate. From memory. */
const RATE_OFF_PPM = 1000;
/** Common practice, no source. */
const SPEED_OFF_PCT = 5;
/** The two sums differ by noise and edges; more says that channels do not belong together. */
const ENERGY_OFF_PCT = 5;

export function trustLines(facts: TrustFacts): TrustLine[] {
  return [
    status(facts),
    integrity(facts),
    polarity(facts),
    ...facts.calibrations.map((one) => calibration(one)),
    tare(facts),
    weight(facts),
    delays(facts),
    rate(facts),
    gaps(facts),
    durability(facts),
    ...facts.speeds.map((one) => speed(one)),
    energy(facts),
  ];
}

const n = (value: number, digits = 1): string => value.toFixed(digits);

function status({ status: is }: TrustFacts): TrustLine {
  const text = {
    complete: 'The recording was closed by the program that made it.',
    recovered: 'The program ended before the recording did; the next start closed it.',
    repaired: 'A sound copy of a damaged recording.',
    open: 'The recording has not been closed.',
  }[is];
  return { topic: 'status', state: is === 'complete' ? 'known' : 'look', text };
}

function integrity({ integrity: is }: TrustFacts): TrustLine {
  const text = {
    crc32: 'Every packet carried a CRC-32: a damaged one is left out and counted.',
    text: 'Lines of text carry no check: a digit that changed on the wire is not noticed.',
    unknown: 'It is not known how the wire checked its data.',
  }[is];
  const state = { crc32: 'known', text: 'look', unknown: 'unknown' } as const;
  return { topic: 'integrity', state: state[is], text };
}

function polarity({ polarity: is }: TrustFacts): TrustLine {
  if (is === null) {
    const text = 'Nobody checked which way torque and angle go.';
    return { topic: 'polarity', state: 'unknown', text };
  }
  const found = is.passed ? 'went the way the pattern says' : 'did not go the way the pattern says';
  const text = `In the check before the set torque and angle ${found}.`;
  return { topic: 'polarity', state: is.passed ? 'known' : 'look', text };
}

function calibration(one: TrustFacts['calibrations'][number]): TrustLine {
  const { column, date, age_days, isAccepted } = one;
  const topic = 'calibrations';
  if (date === null || age_days === null) {
    return { topic, state: 'unknown', text: `${column} has no calibration record.` };
  }
  const limit = isAccepted === false ? '; it did not meet its limits' : '';
  const text = `${column} was calibrated ${age_days} days before (${date})${limit}.`;
  const isOld = age_days > OLD_CALIBRATION_DAYS || age_days < 0;
  return { topic, state: isOld || isAccepted === false ? 'look' : 'known', text };
}

function tare({ tare: { before_Nm, after_Nm } }: TrustFacts): TrustLine {
  const topic = 'tare';
  if (before_Nm === null) return { topic, state: 'unknown', text: 'No zero was read before.' };
  if (after_Nm === null) {
    return {
      topic,
      state: 'unknown',
      text: `Zero was ${n(before_Nm, 2)} Nm before, not read after.`,
    };
  }
  const drift = after_Nm - before_Nm;
  const text = `Zero moved by ${n(drift, 2)} Nm between before and after.`;
  return { topic, state: Math.abs(drift) > TARE_DRIFT_NM ? 'look' : 'known', text };
}

function weight({ weight: is }: TrustFacts): TrustLine {
  const text = {
    removed: 'The weight of limb and attachment was removed.',
    none: 'It was stated that no weight is to be removed.',
    unknown: 'The weight of limb and attachment was not stated: it is in the torque.',
  }[is];
  return { topic: 'weight', state: is === 'unknown' ? 'unknown' : 'known', text };
}

function delays({ delays: all }: TrustFacts): TrustLine {
  const late = all.filter(({ delay_ms }) => delay_ms > 0);
  const told = late.map(({ column, delay_ms, uncertainty_ms }) =>
    uncertainty_ms > 0
      ? `${column} ${n(delay_ms)} ms (+-${n(uncertainty_ms)} ms)`
      : `${column} ${n(delay_ms)} ms`,
  );
  if (late.length === 0) {
    return { topic: 'delays', state: 'unknown', text: 'No delay of a channel was stated.' };
  }
  return { topic: 'delays', state: 'known', text: `Stated delays: ${told.join(', ')}.` };
}

function rate({ rate: { nominal_Hz, measured_Hz } }: TrustFacts): TrustLine {
  const topic = 'rate';
  if (nominal_Hz === null) return { topic, state: 'unknown', text: 'It holds no samples.' };
  if (measured_Hz === null) {
    const text = `The device says ${n(nominal_Hz)} Hz; too short to compare with the host's clock.`;
    return { topic, state: 'unknown', text };
  }
  const ppm = 1e6 * (measured_Hz / nominal_Hz - 1);
  const text =
    `The device says ${n(nominal_Hz)} Hz, the host's clock ${n(measured_Hz, 3)} Hz ` +
    `(${n(ppm, 0)} ppm).`;
  return { topic, state: Math.abs(ppm) > RATE_OFF_PPM ? 'look' : 'known', text };
}

function gaps({ gaps: { count, missing } }: TrustFacts): TrustLine {
  if (count === null)
    return { topic: 'gaps', state: 'unknown', text: 'Holes are not counted yet.' };
  const text = count === 0 ? 'No hole.' : `${count} holes, ${missing ?? 0} samples missing.`;
  return { topic: 'gaps', state: count === 0 ? 'known' : 'look', text };
}

function durability({ durability: { samples, lost } }: TrustFacts): TrustLine {
  const topic = 'durability';
  if (samples === null || lost === null) {
    return { topic, state: 'unknown', text: 'What was lost is not known before it is closed.' };
  }
  if (lost === 0) {
    return { topic, state: 'known', text: `All ${samples} samples that arrived are on the disk.` };
  }
  return { topic, state: 'look', text: `${lost} samples arrived and could not be saved.` };
}

function speed(one: TrustFacts['speeds'][number]): TrustLine {
  const { commanded_degps, measured_degps, difference_pct } = one;
  const text =
    `Set to ${n(commanded_degps)} deg/s, the constant parts ran at ${n(measured_degps.mean)} ` +
    `(${n(measured_degps.least)} to ${n(measured_degps.most)}) deg/s.`;
  const isOff = Math.abs(difference_pct) > SPEED_OFF_PCT;
  return { topic: 'speeds', state: isOff ? 'look' : 'known', text };
}

function energy({ energy: is }: TrustFacts): TrustLine {
  if (is === null) {
    return { topic: 'energy', state: 'unknown', text: 'No work to compare: nothing moved.' };
  }
  const { byAngle_J, byTime_J, difference_pct, velocity } = is;
  const text =
    `Work over angle ${n(byAngle_J)} J, over time ${n(byTime_J)} J (${n(difference_pct)} %), ` +
    `with the ${velocity} velocity.`;
  return {
    topic: 'energy',
    state: Math.abs(difference_pct) > ENERGY_OFF_PCT ? 'look' : 'known',
    text,
  };
}
