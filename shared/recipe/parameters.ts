/**
 * Every number and choice of an analysis: unit, range, default and where the default comes from.
 * The schema, the presets' type and the README's table are made from this list and nothing else.
 */
import { FLAG_PARAMETERS } from './flag-parameters.ts';
import { choice, list, number, optional, type Parameter } from './parameter.ts';

const USUAL = 'common practice, no source';
const CHOSEN = 'chosen here';
const CONTRACT = "the program's contract";
const ROBERTSON = 'Robertson & Dowling 2003: second order, both ways, cut-off corrected';

export const PARAMETERS = {
  conditioning: {
    torqueLowpass_Hz: optional(15, 'Hz', [0.1, 1000], ['Low-pass of torque; null: none', CHOSEN]),
    angleLowpass_Hz: optional(
      10,
      'Hz',
      [0.1, 1000],
      ['Low-pass of angle before velocity; null: none', CHOSEN],
    ),
    dualPass: choice(
      'corrected',
      ['corrected', 'uncorrected'],
      ['Whether the cut-off is where the two passes together have -3 dB', ROBERTSON],
    ),
    spike_Nm: optional(
      2,
      'Nm',
      [0.1, 1000],
      ['A lone torque sample this far from its neighbours is electrical; null: kept', USUAL],
    ),
    spike_deg: optional(
      2,
      'deg',
      [0.05, 90],
      ['A lone angle sample this far from its neighbours is electrical; null: kept', USUAL],
    ),
    spikeNoise_factor: number(
      8,
      'SD',
      [1, 100],
      ['...and by this many times the usual roughness nearby', CHOSEN],
    ),
    spikeLongest_ms: number(
      2.5,
      'ms',
      [0, 100],
      ['...where a sample lasts no longer than this: at lower rates it may be an impact', CHOSEN],
    ),
    delay_ms: number(
      0,
      'ms',
      [-200, 200],
      ['How far torque lags angle in the table; recordings are corrected by their wiring', CHOSEN],
    ),
    hole_factor: number(
      1.5,
      'steps',
      [1.1, 100],
      ['A longer step of time than this many usual ones is a hole', CHOSEN],
    ),
    inertia_kgm2: optional(
      null,
      'kg m2',
      [0, 20],
      ['Inertia of limb and lever, taken out of torque; null: not done', CHOSEN],
    ),
  },
  movement: {
    deadBand_degps: number(5, 'deg/s', [0.1, 100], ['Slower than this is no movement', USUAL]),
    deadBandShare_pct: number(
      10,
      '% of speed',
      [0.1, 50],
      ['The dead-band, when this is more than the fixed one', USUAL],
    ),
    deadBandMost_pct: number(30, '% of speed', [1, 90], ['Largest dead-band', CHOSEN]),
    restNoise_factor: number(
      4,
      'SD',
      [1, 20],
      ['Noise of rest in robust SDs of velocity: where a movement begins and ends', CONTRACT],
    ),
    restFloor_degps: number(
      0.5,
      'deg/s',
      [0.01, 10],
      ['Least dead-band of a passive movement or unknown speed', CHOSEN],
    ),
    joinPause_ms: number(
      100,
      'ms',
      [0, 5000],
      ['A shorter stop on the way is part of the movement', CHOSEN],
    ),
    setPause_s: number(
      1,
      's',
      [0.1, 60],
      ['A shorter stop on the way interrupts one movement; a longer one splits sets', USUAL],
    ),
    leastDuration_ms: number(150, 'ms', [1, 5000], ['Shorter is no movement', CHOSEN]),
    leastTravel_pct: number(
      25,
      '% of range',
      [1, 100],
      ['Less travel is no movement of the set', CHOSEN],
    ),
    leastTravel_deg: number(3, 'deg', [0.1, 90], ['Less travel is no movement', CHOSEN]),
  },
  counting: {
    fullRange_pct: number(
      90,
      '% of range',
      [1, 100],
      ["Less of the set's range does not count", CONTRACT],
    ),
    gap_ms: number(50, 'ms', [0, 1000], ['A longer hole does not count', CONTRACT]),
    sameSpeed_pct: number(12, '%', [1, 50], ['Movements this alike in speed are one set', CHOSEN]),
  },
  loadRange: {
    tolerance_pct: number(10, '% of speed', [0.5, 50], ['Constant is this near the speed', USUAL]),
    noise_factor: number(
      3,
      'SD',
      [0, 10],
      ['...or this many robust SDs of velocity, if wider', CHOSEN],
    ),
    bridge_ms: number(20, 'ms', [0, 500], ['A shorter dip is bridged', CHOSEN]),
    dropEntry_ms: number(50, 'ms', [0, 500], ['Left out after entry', CHOSEN]),
  },
  impact: {
    zone_ms: number(
      100,
      'ms',
      [0, 1000],
      ['How far into constant speed an impact of its beginning reaches', CHOSEN],
    ),
    width_ms: number(
      100,
      'ms',
      [5, 500],
      ['An impact is shorter than this from foot to foot', CHOSEN],
    ),
    share_pct: number(
      6,
      '% of peak',
      [1, 100],
      ['...and stands out by at least this much of the peak torque', CHOSEN],
    ),
    least_Nm: number(3, 'Nm', [0.1, 100], ['...and by at least this', CHOSEN]),
  },
  isometric: {
    leastEffort_Nm: number(5, 'Nm', [0.01, 500], ['A smaller rise is no effort', CHOSEN]),
    effort_pct: number(
      10,
      '% of largest',
      [0, 90],
      ['A smaller rise than this share of the largest is no effort', CHOSEN],
    ),
    over_pct: number(
      25,
      '% of least',
      [0, 100],
      ['Over below this share of the least effort', CHOSEN],
    ),
    overReached_pct: number(
      25,
      '% of reached',
      [0, 100],
      ['...or of what it has reached: a baseline that shifted up does not keep it open', CHOSEN],
    ),
    leastDuration_ms: number(300, 'ms', [1, 10000], ['Shorter is no effort', CHOSEN]),
    baselineWindow_ms: number(
      500,
      'ms',
      [50, 5000],
      ['Quietest window before the effort: its baseline', CHOSEN],
    ),
    baselineReach_s: number(3, 's', [0.1, 60], ['How far back it is looked for', CHOSEN]),
    quiet_pct: number(
      1,
      '% of largest',
      [0.01, 20],
      ['Rest varies by less than this (SD, window of the baseline)', CHOSEN],
    ),
  },
  onset: {
    rule: choice(
      'slope',
      ['slope', 'absolute', 'deviation', 'percent'],
      ['Which rule gives the onset', 'slope: robust to a creep of torque before the effort'],
    ),
    lowpass_Hz: optional(
      50,
      'Hz',
      [1, 1000],
      ['Low-pass for onset and rate of torque development; null: none', USUAL],
    ),
    slope_pct: number(
      10,
      '% of steepest',
      [0.1, 90],
      ['slope: back from the steepest rise to this share of it', CHOSEN],
    ),
    absolute_Nm: number(7.5, 'Nm', [0.01, 200], ['absolute: above the baseline', USUAL]),
    deviation_factor: number(3, 'SD', [0.5, 20], ['deviation: above the baseline', USUAL]),
    percent_pct: number(2.5, '% of peak', [0.1, 50], ['percent: above the baseline', USUAL]),
    windows_ms: list(
      [50, 100, 200],
      'ms',
      [5, 2000],
      ['Rate of torque development from onset to here', 'Maffiuletti 2016, from memory'],
    ),
    peakWindow_ms: number(20, 'ms', [1, 500], ['Width of the steepest slope', USUAL]),
  },
  measures: {
    angles_deg: list(
      [],
      'deg',
      [-360, 360],
      ["Angles at which torque is read; empty: the pattern's usual ones", USUAL],
    ),
    bestWindows_ms: list([500, 1000], 'ms', [10, 20000], ['Widths of the best mean', USUAL]),
    stiffnessAngles_deg: list(
      [-10, 0, 10],
      'deg',
      [-360, 360],
      ['Angles of passive stiffness', 'Riemann 2001, ankle: 10 below, neutral, 10 above'],
    ),
    stiffnessOrder: number(
      4,
      '',
      [1, 6],
      ['Order of the polynomial whose slope is the stiffness', 'Riemann 2001'],
    ),
    steadinessTrim_s: number(
      2,
      's',
      [0, 30],
      ['Left out at both ends of a held effort', 'steady middle, common practice, no source'],
    ),
    steadinessLeast_s: number(1, 's', [0.1, 60], ['Least steady middle', CHOSEN]),
    target_Nm: optional(null, 'Nm', [-2000, 2000], ['Target of a held effort', CHOSEN]),
    band_pct: number(5, '% of target', [0.1, 100], ['Half width of the target band', USUAL]),
    timeToSpeed_pct: number(90, '% of speed', [10, 100], ['Speed counts as reached', USUAL]),
    stopRule_pct: number(
      50,
      '% of best',
      [1, 100],
      ['Repetitions until peak power stays below this', USUAL],
    ),
  },
  flags: FLAG_PARAMETERS,
} as const satisfies Record<string, Record<string, Parameter>>;
