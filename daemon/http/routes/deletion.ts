/** Deleting a recording, with an entry in the audit trail that outlives it. */
import * as v from 'valibot';
import { NotThere } from '../../catalogue/catalogue.ts';
import { deleteRecording, Kept } from '../../catalogue/delete-recording.ts';
import { wallClock } from '../../clock.ts';
import { Problem } from '../problem.ts';
import { jsonRoute, type Route, TAKES_NOTHING } from '../route.ts';
import { who } from './catalogue.ts';

const remove = jsonRoute({
  ...TAKES_NOTHING,
  method: 'POST',
  url: '/api/recordings/{id}/delete',
  about:
    'Deletes a recording for ever, unless it must still be kept. The audit trail says who and why.',
  path: v.strictObject({ id: v.pipe(v.string(), v.maxLength(96)) }),
  body: v.strictObject({
    who,
    reason: v.pipe(v.string(), v.trim(), v.minLength(1), v.maxLength(400)),
  }),
  reply: v.strictObject({ deleted: v.string() }),
  problems: { 404: 'There is no such recording.', 409: 'It is under way or must be kept.' },
  run: async ({ archive }, { path, body }) => {
    try {
      await deleteRecording(archive, path.id, { ...body, today: wallClock() });
      return { deleted: path.id };
    } catch (error) {
      if (error instanceof NotThere) throw new Problem(404, error.message);
      if (error instanceof Kept) throw new Problem(409, error.message);
      throw error;
    }
  },
});

export const DELETION_ROUTES: readonly Route[] = [remove];
