/** English: words that all pages share. One word for one thing, from the project's list of words. */
import { number, withUnit } from '../format.ts';

const count = (n: number, one: string, many: string) => `${number(n)} ${n === 1 ? one : many}`;

export const common = {
  locale: 'en-GB',
  product: 'Momentarm',
  torque: 'Torque',
  angle: 'Angle',
  velocity: 'Velocity',
  newtonMetres: 'N·m',
  degreesPerSecond: '°/s',
  left: 'left',
  right: 'right',
  Left: 'Left',
  Right: 'Right',
  mode: {
    isokinetic: 'isokinetic',
    isotonic: 'isotonic',
    isometric: 'isometric',
    passive: 'passive',
  },
  action: {
    concentric: 'concentric',
    eccentric: 'eccentric',
    isometric: 'isometric',
    passive: 'passive',
  },
  speed: (degps: number) => withUnit(number(degps), '°/s'),
  torqueOf: (nm: string) => withUnit(nm, 'N·m'),
  count,
  up: (word: string) => `${word} up`,
  down: (word: string) => `${word} down`,
  dark: 'Dark',
  light: 'Light',
  themeTurn: 'Dark or light',
  back: 'Back',
  skip: 'Skip to the content',
  gone: 'Station does not answer',
  goneTry: (tries: number) => `Trying again, try ${number(Math.max(1, tries))}`,
  goneWhile: 'It may still record',
  goneKept: 'A recording goes on at the station even while this page is cut off.',
  notFound: 'There is no page at this address.',
  notFoundWay: 'Back to the three pages',
  loading: 'Reading …',
  failed: 'This could not be read.',
  again: 'Try again',
  noAnswer: 'The station did not answer.',
  recordedOnly: 'Recording and display only. It does not stop the machine.',
} as const;

export const home = {
  title: 'Momentarm',
  lead: 'Torque, angle and velocity of one joint, live, and kept.',
  stand: 'The stand',
  standFor: 'for the tester, at the machine',
  standWhat:
    'See that the signal is live, run the set, record it, read each repetition as it ends.',
  lane: 'The lane',
  laneFor: 'for the subject, on a screen of their own',
  laneWhat: 'One thing at a time: when to push, how hard, how many are left. No numbers.',
  desk: 'The desk',
  deskFor: 'for the researcher, later',
  deskWhat: 'Every recording, down to the sample, with how each number was made.',
  station: (name: string) => `Station ${name}`,
} as const;

export const drawing = {
  proximal: {
    foot: 'shank',
    legAndFoot: 'thigh',
    totalLeg: 'trunk',
    forearmAndHand: 'upper arm',
    totalArm: 'trunk',
    hand: 'forearm',
    trunk: 'pelvis',
  },
} as const;
