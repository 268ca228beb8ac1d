/** A notch for mains hum, by the design of scipy.signal.iirnotch. */
import type { Section } from './section.ts';

export interface NotchDesign {
  /** 50 or 60 Hz in practice; 0 to half the rate. */
  readonly centre_Hz: number;
  readonly rate_Hz: number;
  /** Centre over the width at -3 dB: 30 is 1.7 Hz wide at 50 Hz. */
  readonly quality: number;
}

/** Source: Orfanidis, Introduction to Signal Processing, 1996, section 11.3, as scipy.signal cites it. */
export function notch({ centre_Hz, rate_Hz, quality }: NotchDesign): Section {
  if (!(centre_Hz > 0 && centre_Hz < rate_Hz / 2)) {
    throw new RangeError(`notch at ${centre_Hz} Hz is not between 0 and half of ${rate_Hz} Hz`);
  }
  const centre = (2 * Math.PI * centre_Hz) / rate_Hz;
  const gain = 1 / (1 + Math.tan(centre / quality / 2));
  const b1 = -2 * gain * Math.cos(centre);
  return { b0: gain, b1, b2: gain, a1: b1, a2: 2 * gain - 1 };
}
