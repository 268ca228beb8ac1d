/** Cautions defer to the practitioner, and say nothing where nothing was asked. */
import { expect, it } from 'vitest';
import { cautions, SCREENING_QUESTIONS } from '../../../shared/preparation/screening.ts';

const answered = (answer: string) =>
  Object.fromEntries(SCREENING_QUESTIONS.map((question) => [question, answer]));

it('names what is not cleared, pain above three of ten, and unanswered questions', () => {
  expect(cautions({}, null)).toEqual([]);
  expect(cautions(answered('no'), 3)).toEqual([]);
  expect(cautions(answered('yes, cleared by the practitioner'), 0)).toEqual([]);
  const open = cautions({ ...answered('no'), [SCREENING_QUESTIONS[0]]: 'yes, not cleared' }, 4);
  expect(open[0]).toContain('The licensed practitioner decides');
  expect(open[1]).toContain('Pain 4 of 10');
  expect(cautions({ [SCREENING_QUESTIONS[0]]: 'no' }, null)[0]).toContain('6 of 7');
});
