/** Routes of running sets: the same for the pages and for a script; each answers with the run as it is then. */
import * as v from 'valibot';
import { number } from '../../../shared/catalogue/fields.ts';
import { KINDS } from '../../../shared/catalogue/kinds.ts';
import {
  planOf,
  planOfSetup,
  planSchema,
  USUAL_AGREEMENT_pct,
} from '../../../shared/session/plan.ts';
import { EARLY_REASONS, type RunEvent } from '../../../shared/session/run.ts';
import { screenSchema } from '../../../shared/session/screen.ts';
import type { Station } from '../../station.ts';
import { Problem } from '../problem.ts';
import { jsonRoute, type Route, TAKES_NOTHING } from '../route.ts';
import { told, who } from './catalogue.ts';

const by = v.optional(who, 'tester');
const whole = (most: number) => v.pipe(number(0, most), v.integer());
const reply = v.looseObject({ stage: v.string() });
const NOT_NOW = 'It does not fit what the run is at.';
const conflict = { 409: NOT_NOW };

async function now(station: Station): Promise<v.InferOutput<typeof reply>> {
  await station.run.settled();
  return { ...station.run.view };
}

function send(station: Station, event: RunEvent): Promise<v.InferOutput<typeof reply>> {
  if (!station.run.send(event)) {
    throw new Problem(409, `${NOT_NOW} It is at: ${station.run.view.stage}.`);
  }
  return now(station);
}

const read = jsonRoute({
  ...TAKES_NOTHING,
  method: 'GET',
  url: '/api/run',
  about: 'Which sets are planned, which one is run, and how those before it ended.',
  reply,
  run: now,
});

const open = jsonRoute({
  ...TAKES_NOTHING,
  method: 'POST',
  url: '/api/run',
  about:
    'Plans sets: those of a protocol by its id, or those given, or without both the set-up’s own ' +
    'set three times. Nothing starts by it.',
  body: v.strictObject({
    protocol: v.optional(v.pipe(v.string(), v.maxLength(200))),
    sets: v.optional(planSchema),
    agreeWithin_pct: v.optional(number(0.1, 100)),
  }),
  reply,
  status: 201,
  problems: { 404: 'There is no such protocol.', 409: 'A set is under way.' },
  run(station, { body: { protocol, sets, agreeWithin_pct = USUAL_AGREEMENT_pct } }) {
    const { setup } = station.state();
    if (protocol !== undefined) {
      const item = station.archive.catalogue.get('protocol', protocol);
      if (!item) throw new Problem(404, 'There is no such protocol.');
      const { name, pattern, sets: stated } = v.parse(KINDS.protocol, item.body);
      if (pattern !== setup.pattern) {
        throw new Problem(409, `The protocol is for ${pattern}, the set-up for ${setup.pattern}.`);
      }
      return send(station, { type: 'open', plan: planOf(name, stated, agreeWithin_pct) });
    }
    const plan = sets ? planOf('', sets, agreeWithin_pct) : planOfSetup(setup);
    return send(station, { type: 'open', plan });
  },
});

/** A route for an event that needs no more than its name. */
function plain(
  type: Extract<RunEvent['type'], 'close' | 'pause' | 'abort' | 'more' | 'repeat' | 'adverse'>,
  about: string,
): Route {
  return jsonRoute({
    ...TAKES_NOTHING,
    method: 'POST',
    url: `/api/run/${type}`,
    about,
    reply,
    problems: conflict,
    run: (station) => send(station, { type }),
  });
}

const go = jsonRoute({
  ...TAKES_NOTHING,
  method: 'POST',
  url: '/api/run/go',
  about: 'Counts in the next set, or goes on after a pause.',
  reply,
  problems: conflict,
  run: (station) => send(station, { type: 'go', isLive: station.state().source.state === 'live' }),
});

const end = jsonRoute({
  ...TAKES_NOTHING,
  method: 'POST',
  url: '/api/run/end',
  about: 'Ends the set at once; a reason may be given now or later.',
  body: v.strictObject({ reason: v.optional(v.picklist(EARLY_REASONS)) }),
  reply,
  problems: conflict,
  run: (station, { body }) => send(station, { type: 'end', reason: body.reason ?? null }),
});

const reason = jsonRoute({
  ...TAKES_NOTHING,
  method: 'POST',
  url: '/api/run/reason',
  about: 'Says why the newest set ended early.',
  body: v.strictObject({ reason: v.picklist(EARLY_REASONS), who: by }),
  reply,
  problems: conflict,
  run(station, { body }) {
    const answer = send(station, { type: 'reason', reason: body.reason });
    const recording = station.run.view.outcomes.at(-1)?.recording ?? '';
    told(body, () =>
      station.run.decisions.say(recording, 'ended early', `ended early: ${body.reason}`, body.who),
    );
    return answer;
  },
});

const choose = jsonRoute({
  ...TAKES_NOTHING,
  method: 'POST',
  url: '/api/run/choose',
  about: 'Makes another planned set the next one, by its number from 1.',
  body: v.strictObject({ set: v.pipe(number(1, 1000), v.integer()) }),
  reply,
  problems: conflict,
  run: (station, { body }) => send(station, { type: 'choose', set: body.set - 1 }),
});

const score = jsonRoute({
  ...TAKES_NOTHING,
  method: 'POST',
  url: '/api/run/score',
  about: 'Keeps what the subject says after a set: pain or perceived exertion, 0 to 10.',
  body: v.strictObject({ scale: v.picklist(['pain', 'exertion']), value: whole(10), who: by }),
  reply,
  problems: conflict,
  run(station, { body: { scale, value, who: person } }) {
    const answer = send(station, { type: 'score', scale, value });
    const recording = station.run.view.outcomes.at(-1)?.recording ?? '';
    told(value, () =>
      station.run.decisions.say(recording, scale, `${scale} ${value} of 10`, person),
    );
    return answer;
  },
});

const decide = jsonRoute({
  ...TAKES_NOTHING,
  method: 'POST',
  url: '/api/run/decide',
  about: 'Rejects a repetition of the newest set, or lets it count; both its directions.',
  body: v.strictObject({
    repetition: v.pipe(number(1, 100_000), v.integer()),
    counts: v.boolean(),
    reason: v.optional(v.pipe(v.string(), v.trim(), v.minLength(1), v.maxLength(400)), 'tester'),
    who: by,
  }),
  reply,
  problems: { 409: 'There is no such repetition yet.' },
  run(station, { body }) {
    refuse(told(body, () => station.run.decisions.decide(body)));
    return now(station);
  },
});

const undo = jsonRoute({
  ...TAKES_NOTHING,
  method: 'POST',
  url: '/api/run/undo',
  about: 'Takes the newest rejection or restoring of this station back.',
  body: v.strictObject({ who: by }),
  reply,
  problems: { 409: 'There is nothing to take back.' },
  run(station, { body }) {
    refuse(told(body, () => station.run.decisions.undo(body.who)));
    return now(station);
  },
});

const adopt = jsonRoute({
  ...TAKES_NOTHING,
  method: 'POST',
  url: '/api/run/adopt',
  about: 'Takes on the mode, speed and range that the lever showed, for this set and its repeats.',
  body: v.strictObject({ who: by }),
  reply,
  problems: { 409: 'Nothing differs.' },
  run(station, { body }) {
    refuse(told(body, () => station.run.adopt(body.who)));
    return now(station);
  },
});

const screen = jsonRoute({
  ...TAKES_NOTHING,
  method: 'PUT',
  url: '/api/run/screen',
  about:
    'What the subject’s screen shows: form, target, sizes. While a set is run only blank and mirrored change.',
  body: screenSchema,
  reply,
  problems: { 409: 'The scale of a set is fixed while it is run.' },
  run(station, { body }) {
    const { screen: before, stage } = station.run.view;
    const { isBlank, isMirrored } = body;
    const isFixed = stage === 'set' || stage === 'opening' || stage === 'closing';
    const wanted = JSON.stringify(v.parse(screenSchema, body));
    if (
      isFixed &&
      wanted !== JSON.stringify(v.parse(screenSchema, { ...before, isBlank, isMirrored }))
    ) {
      throw new Problem(409, 'The scale of a set is fixed while it is run.');
    }
    station.run.show(body);
    return now(station);
  },
});

function refuse(refused: string | null): void {
  if (refused !== null) throw new Problem(409, refused);
}

export const RUN_ROUTES: readonly Route[] = [
  read,
  open,
  plain('close', 'Ends the run; what was recorded stays.'),
  go,
  plain(
    'pause',
    'Stops the countdown or the rest timer, or a set from ending by count; or goes on.',
  ),
  end,
  plain('abort', 'Ends the set at once, without a rest; it waits to be run again.'),
  reason,
  plain('more', 'One more repetition: of the set under way, or after it as a set of its own.'),
  choose,
  plain('repeat', 'Makes the newest set the next one again.'),
  score,
  plain('adverse', 'Notes an adverse event at this moment.'),
  decide,
  undo,
  adopt,
  screen,
];
