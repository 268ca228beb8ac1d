/** Routes of preparing a test: weighing the limb, and the polarity check. */
import * as v from 'valibot';
import { polarity, weighing } from '../../../shared/preparation/documents.ts';
import type { Station } from '../../station.ts';
import { Problem } from '../problem.ts';
import { jsonRoute, type Route, TAKES_NOTHING } from '../route.ts';
import { told, who } from './catalogue.ts';

const NO_CALIBRATION = 'No calibration is open.';
/** Who works at the station, where nobody says. */
const by = v.strictObject({ who: v.optional(who, 'tester') });
const loose = v.looseObject({});

const replySchema = v.strictObject({
  weighed: v.nullable(loose),
  polarity: v.nullable(polarity),
  weighing: v.nullable(loose),
  checking: v.nullable(loose),
  calibration: v.nullable(loose),
  before: v.strictObject({ last: v.nullable(weighing), other: v.nullable(weighing) }),
});

/** As the station sees it now, earlier weighings with it. */
function now({ preparation }: Station): v.InferOutput<typeof replySchema> {
  const { weighed, polarity: check, weighing: open, checking, calibration } = preparation.state;
  return {
    weighed: weighed && { ...weighed },
    polarity: check,
    weighing: open && { ...open },
    checking: checking && { ...checking },
    calibration: calibration && { ...calibration },
    before: { ...preparation.before },
  };
}

function refuse(refused: string | null): void {
  if (refused !== null) throw new Problem(409, refused);
}

const read = jsonRoute({
  ...TAKES_NOTHING,
  method: 'GET',
  url: '/api/preparation',
  about: 'What is in force for this limb, what is open, and the weighings before.',
  reply: replySchema,
  run: now,
});

const start = jsonRoute({
  ...TAKES_NOTHING,
  method: 'POST',
  url: '/api/weighing',
  about: 'Begins to weigh the limb; one that is open begins anew.',
  body: v.strictObject({
    method: v.optional(v.picklist(['sweep', 'hold']), 'sweep'),
    /** One-way sweeps that are aimed at. */
    sweeps: v.optional(v.pipe(v.number(), v.integer(), v.minValue(2), v.maxValue(12)), 4),
    horizontalAt_deg: v.optional(
      v.nullable(v.pipe(v.number(), v.minValue(-360), v.maxValue(360))),
      null,
    ),
  }),
  reply: replySchema,
  status: 201,
  problems: { 409: 'The set-up names no joint pattern.' },
  run(station, { body }) {
    refuse(station.preparation.weighing.start(body));
    return now(station);
  },
});

const hold = jsonRoute({
  ...TAKES_NOTHING,
  method: 'POST',
  url: '/api/weighing/hold',
  about: 'Reads a static hold of three seconds from now on.',
  reply: replySchema,
  problems: { 409: 'No weighing by holds is open.' },
  run(station) {
    refuse(station.preparation.weighing.hold());
    return now(station);
  },
});

const drop = jsonRoute({
  ...TAKES_NOTHING,
  method: 'POST',
  url: '/api/weighing/drop',
  about: 'Takes one sweep or hold out, by its number from 1.',
  body: v.strictObject({ number: v.pipe(v.number(), v.integer(), v.minValue(1)) }),
  reply: replySchema,
  problems: { 409: 'No weighing is open.' },
  run(station, { body }) {
    refuse(station.preparation.weighing.drop(body.number));
    return now(station);
  },
});

const end = jsonRoute({
  ...TAKES_NOTHING,
  method: 'POST',
  url: '/api/weighing/end',
  about: 'Closes the open weighing without using it.',
  reply: replySchema,
  run(station) {
    station.preparation.weighing.end();
    return now(station);
  },
});

const use = jsonRoute({
  ...TAKES_NOTHING,
  method: 'POST',
  url: '/api/weighing/use',
  about: 'Uses the open weighing: live torque and recordings are corrected by it from now on.',
  body: v.strictObject({
    ...by.entries,
    /** For a weight near zero: the machine removes it, or the limb really weighs next to nothing. */
    answer: v.optional(v.nullable(v.picklist(['machine', 'limb'])), null),
  }),
  reply: replySchema,
  problems: { 409: 'It cannot be used yet, or a recording is under way.' },
  run(station, { body }) {
    refuse(told(body, () => station.preparation.weighing.use(body.who, body.answer)));
    return now(station);
  },
});

const discard = jsonRoute({
  ...TAKES_NOTHING,
  method: 'POST',
  url: '/api/weighing/discard',
  about: 'Takes the weighing in force back: what follows is not corrected for gravity.',
  body: by,
  reply: replySchema,
  problems: { 409: 'None is in force, or a recording is under way.' },
  run(station, { body }) {
    refuse(told(body, () => station.preparation.weighing.discard(body.who)));
    return now(station);
  },
});

const startPolarity = jsonRoute({
  ...TAKES_NOTHING,
  method: 'POST',
  url: '/api/polarity',
  about: 'Begins the polarity check: rest, move the limb, push gently.',
  reply: replySchema,
  status: 201,
  problems: { 409: 'The set-up names no joint pattern.' },
  run(station) {
    refuse(station.preparation.polarity.start());
    return now(station);
  },
});

const endPolarity = jsonRoute({
  ...TAKES_NOTHING,
  method: 'POST',
  url: '/api/polarity/end',
  about: 'Closes the polarity check; its result, if it came to one, is kept.',
  reply: replySchema,
  run(station) {
    station.preparation.polarity.end();
    return now(station);
  },
});

const mass = v.pipe(v.number(), v.minValue(0), v.maxValue(500));
const massNumber = v.pipe(v.number(), v.integer(), v.minValue(1), v.maxValue(20));

const startCalibration = jsonRoute({
  ...TAKES_NOTHING,
  method: 'POST',
  url: '/api/calibration',
  about: 'Begins to calibrate the torque channel with known masses; one that is open begins anew.',
  body: v.strictObject({
    masses_kg: v.pipe(v.array(mass), v.minLength(1), v.maxLength(20)),
    arm_m: v.number(),
    isBothWays: v.optional(v.boolean(), true),
    toMeasure_Nm: v.pipe(v.number(), v.minValue(0), v.maxValue(5000)),
  }),
  reply: replySchema,
  status: 201,
  problems: { 409: 'The masses or the arm make no sense, or a recording is under way.' },
  run(station, { body }) {
    refuse(station.preparation.calibration.start(body));
    return now(station);
  },
});

const readLoad = jsonRoute({
  ...TAKES_NOTHING,
  method: 'POST',
  url: '/api/calibration/read',
  about: 'Reads the load that hangs now, as soon as it is settled.',
  reply: replySchema,
  problems: { 409: 'No calibration is open, or all loads were read.' },
  run(station) {
    const { run } = station.preparation.calibration;
    refuse(run ? run.read() : NO_CALIBRATION);
    return now(station);
  },
});

const back = jsonRoute({
  ...TAKES_NOTHING,
  method: 'POST',
  url: '/api/calibration/back',
  about: 'Takes the last reading back, or gives up the one that is awaited.',
  reply: replySchema,
  run(station) {
    station.preparation.calibration.run?.back();
    return now(station);
  },
});

const restate = jsonRoute({
  ...TAKES_NOTHING,
  method: 'POST',
  url: '/api/calibration/mass',
  about: 'States what a mass really is, or leaves its readings out.',
  body: v.strictObject({
    number: massNumber,
    mass_kg: v.optional(mass),
    isExcluded: v.optional(v.boolean()),
  }),
  reply: replySchema,
  problems: { 409: 'No calibration is open, or there is no such mass.' },
  run(station, { body: { number, mass_kg, isExcluded } }) {
    const { run } = station.preparation.calibration;
    if (!run) throw new Problem(409, NO_CALIBRATION);
    if (mass_kg !== undefined) refuse(run.restate(number, mass_kg));
    if (isExcluded !== undefined) run.exclude(number, isExcluded);
    return now(station);
  },
});

const acceptCalibration = jsonRoute({
  ...TAKES_NOTHING,
  method: 'POST',
  url: '/api/calibration/accept',
  about:
    'Stores the calibration and takes it into use; refused with reasons when it misses a limit.',
  body: by,
  reply: replySchema,
  problems: { 409: 'It misses a limit, or a recording is under way.' },
  async run(station, { body }) {
    refuse(await station.preparation.calibration.accept(body.who));
    return now(station);
  },
});

const endCalibration = jsonRoute({
  ...TAKES_NOTHING,
  method: 'POST',
  url: '/api/calibration/end',
  about: 'Closes the open calibration without using it.',
  reply: replySchema,
  run(station) {
    station.preparation.calibration.end();
    return now(station);
  },
});

export const PREPARATION_ROUTES: readonly Route[] = [
  read,
  start,
  hold,
  drop,
  use,
  discard,
  end,
  startPolarity,
  endPolarity,
  startCalibration,
  readLoad,
  back,
  restate,
  acceptCalibration,
  endCalibration,
];
