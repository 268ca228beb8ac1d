/** English: preparing a test. What the tester reads, and what is said to the subject. */
import type { JointPattern } from '../../../shared/joints/pattern.ts';
import { magnitude, number, withUnit } from '../format.ts';

const nm = (value: number, digits = 1) => withUnit(magnitude(value, digits), 'N·m');

const LIMB: Readonly<Record<JointPattern['limb'], string>> = {
  foot: 'foot',
  legAndFoot: 'leg',
  totalLeg: 'leg',
  forearmAndHand: 'forearm',
  totalArm: 'arm',
  hand: 'hand',
  trunk: 'trunk',
};

export const weighing = {
  title: 'Limb weighing',
  lead: (n: number) => `slow passive sweep at 5 °/s, both ways, ${number(n)} times`,
  leadHold: 'static holds of three seconds, limb relaxed',
  leadIdle: 'what limb and attachment weigh is removed from torque',
  method: 'Method',
  methods: { sweep: 'Sweep', hold: 'Static hold' },
  start: 'Start weighing',
  again: 'Start again',
  close: 'Close',
  use: 'Use this weighing',
  using: 'Storing …',
  takeBack: 'Take it back',
  hold: 'Read a hold',
  holding: (seconds: string) => `Hold still … ${seconds} s`,
  plot: 'Passive torque over angle',
  fit: 'fit',
  band: (text: string) => `± ${text}`,
  up: 'up',
  down: 'down',
  last: (date: string) => `last time, ${date}`,
  other: (side: string) => `${side}, mirrored`,
  sweepOf: (k: number, n: number, toward: string) =>
    `sweep ${number(k)} of ${number(n)}, moving toward ${toward}`,
  sweepMore: (k: number, toward: string) => `sweep ${number(k)}, moving toward ${toward}`,
  waiting: (k: number, toGo: number) => `sweep ${number(k)} comes next, ${number(toGo)} to go`,
  allIn: 'all sweeps are in',
  holdsIn: (n: number) => `${number(n)} ${n === 1 ? 'hold' : 'holds'} read`,
  residual: 'Residual',
  residualNeeds: (text: string) => `needs ${text} or less`,
  within: 'within',
  beyond: 'beyond',
  toCome: 'to come',
  differ: 'Up and down differ',
  friction: 'friction, averaged out',
  tension: 'Muscle tension',
  tensionWhere: 'in every sweep, against its own curve',
  noneSeen: 'none seen',
  tensionIn: (numbers: string) => `in sweep ${numbers}`,
  tensionKept: 'refused, kept, not used',
  atAngle: (angle: string) => `At ${angle}`,
  removedThere: (toward: string) =>
    toward === '' ? 'removed from torque there' : `toward ${toward}, removed from torque there`,
  mass: (kg: string) => `Against body mass ${withUnit(kg, 'kg')}`,
  massUnknown: 'Against body mass',
  massUnknownWay: 'not known: the subject has no body mass',
  verdict: {
    plausible: 'plausible',
    nothing: 'next to nothing',
    small: 'lighter than expected',
    large: 'heavier than expected',
    unknown: 'not judged',
  },
  expected: (least: string, most: string) =>
    `expected ${least} to ${withUnit(most, 'N·m')} with the attachment`,
  provisional: 'Provisional.',
  toGo: (n: number) =>
    `${n === 1 ? 'One sweep' : `${number(n)} sweeps`} to go. It can be used when one each way is in.`,
  ready: 'One each way is in: it can be used.',
  done: 'All sweeps are in.',
  blocked: {
    nothing: 'The key opens when one sweep each way is in.',
    oneWay: 'The key opens when the other way is swept too.',
    residual: 'The readings scatter too much about the fit: is the limb relaxed?',
    apart: 'Up and down differ too much: does the limb rub, or help one way?',
    hold: 'The key opens when a hold is read.',
    locked: 'A recording is running: its gravity is part of it. It opens when that ends.',
    answer: 'Answer first why it weighs next to nothing.',
    notOpen: 'Start a weighing first.',
    old: 'No data: nothing can be weighed.',
  },
  refused: (n: number) => `Sweep ${number(n)} was refused`,
  refusedWhy: (from: string, to: string, residual: number, limit: number) =>
    `Muscle tension between ${from} and ${to}: residual ${nm(residual)}, limit ${magnitude(limit, 1)}. ` +
    'Repeat it; both are kept.',
  refusedDone: (from: string, to: string, residual: number, limit: number) =>
    `Muscle tension between ${from} and ${to}: residual ${nm(residual)}, limit ${magnitude(limit, 1)}. ` +
    'It was repeated; both are kept.',
  short: (covered: string, needed: string) =>
    `That movement covered ${covered}; a sweep needs ${needed} of the range.`,
  fast: (speed: string, most: string) =>
    `That movement went at ${speed}; a passive sweep goes at ${most} at most.`,
  takeOut: 'Take out',
  takeOutSweep: (n: number) => `sweep ${number(n)}`,
  question: 'The limb weighs next to nothing. Why?',
  machine: 'The machine removes it',
  machineSays: 'Torque stays as it is; every number says that the machine removed the weight.',
  limb: 'It really is so light',
  lastAgrees: (date: string, most: string) => `As on ${date}: at most ${most} apart.`,
  lastDiffers: (date: string) => `Not as on ${date}.`,
  otherAgrees: (side: string, most: string) => `As the ${side} side: at most ${most} apart.`,
  otherDiffers: (side: string) => `Not as the ${side} side.`,
  differsWhy: (most: string, at: string) =>
    `Up to ${most} apart, at ${at}. A shifted axis, another seat or a twisted strap shows here. Look before any maximal effort.`,
  say: 'Say to the subject',
  sayWords: (limb: JointPattern['limb']) =>
    `“Let the ${LIMB[limb]} hang heavy. Do not help, do not hold.”`,
  what: 'What is weighed',
  whatWords: (limb: JointPattern['limb']) =>
    `The ${LIMB[limb]}, the attachment and the passive stretch of the muscles, together, as a function of angle.`,
  skipped: 'If it is skipped',
  skippedWords: 'Every number of this session says “not corrected for gravity”.',
  inForce: 'In force',
  inForceWords: (time: string, method: string) => `Weighed at ${time}, by ${method}.`,
  methodWords: { sweep: 'slow sweeps', hold: 'static holds' },
  machineInForce: 'The machine removes the weight itself; nothing more is removed.',
  nothingYet: 'Not weighed yet.',
  nothingWay: 'Start weighing (W), then let the machine move the relaxed limb slowly, both ways.',
  horizontal: 'Limb horizontal at',
  horizontalHint: 'for a single hold; two holds at different angles need none',
  holdRow: (n: number) => `Hold ${number(n)}`,
  barLabel: 'Gravity and passive torque',
  barNone: 'Not yet weighed',
  barMachine: 'Removed by the machine',
  barDone: (value: string, angle: string) => `${value} at ${angle} removed`,
  pathNone: 'not weighed',
  pathOpen: (k: number, n: number) => `sweep ${number(k)} of ${number(n)}`,
  pathDone: (value: string, angle: string) => `${value} at ${angle}`,
  pathMachine: 'the machine removes it',
} as const;

export const polarity = {
  title: 'Polarity check',
  lead: 'ten seconds: do angle and torque go the way the pattern says?',
  start: 'Check polarity',
  again: 'Check again',
  stop: 'Stop',
  rest: 'Keep the limb still',
  move: (toward: string) => `Move the limb into ${toward}`,
  push: (toward: string) => `Push gently into ${toward}`,
  left: (seconds: string) => withUnit(seconds, 's'),
  none: 'Not checked in this session.',
  noneWay: 'A set may be recorded without it; every number of it then says so.',
  passed: 'Angle and torque go the way the pattern says.',
  failed: (n: number) =>
    n === 1
      ? 'One thing is not as it should be.'
      : `${number(n)} things are not as they should be.`,
  at: (time: string) => `checked at ${time}`,
  moved: 'Movement',
  pushed: 'Push',
  atRest: 'At rest',
  old: 'No data: nothing can be checked.',
} as const;
