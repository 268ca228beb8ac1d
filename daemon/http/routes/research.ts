/** Routes of the desk: what a page needs to compute a recording's numbers itself. */
import { Readable } from 'node:stream';
import * as v from 'valibot';
import { encodeAnalysisInput } from '../../../shared/wire/signal-codec.ts';
import { analysisInput } from '../../pipeline/analysis-input.ts';
import { Problem } from '../problem.ts';
import type { Library } from '../../station-library.ts';
import { fileRoute, type Route, TAKES_NOTHING } from '../route.ts';

/** Ten minutes at 1 kHz: what a page recomputes while a person waits, in tens of megabytes. */
const MOST_SAMPLES = 600_000;

const input = fileRoute({
  ...TAKES_NOTHING,
  method: 'GET',
  url: '/api/recordings/{id}/signal',
  about:
    'Calibrated samples at full precision with the stated conditions and the recipe in force: ' +
    'what the analysis goes by, for a page that computes it again.',
  path: v.strictObject({ id: v.pipe(v.string(), v.maxLength(96)) }),
  problems: {
    404: 'There is no such recording.',
    413: 'It is too long for one answer.',
    422: 'It holds nothing that can be analysed.',
  },
  run: ({ archive: { library } }, { path }) => {
    const content = Readable.from([Buffer.from(signalBytes(library, path.id))]);
    return { name: `${path.id}.signal`, content };
  },
});

export const RESEARCH_ROUTES: readonly Route[] = [input];

export function signalBytes(library: Pick<Library, 'open'>, id: string): ArrayBuffer {
  const opened = library.open(id);
  if (opened === null) throw new Problem(404, 'There is no such recording.');
  if (opened.endIndex - opened.firstIndex > MOST_SAMPLES) {
    throw new Problem(413, `It is longer than ${MOST_SAMPLES} samples: change one set at a time.`);
  }
  const found = analysisInput(opened.recording.folder);
  if ('problem' in found) throw new Problem(422, found.problem);
  return encodeAnalysisInput({ ...found, recording: id }).buffer;
}
