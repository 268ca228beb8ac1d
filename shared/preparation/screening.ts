/**
 * What is asked before anything moves, and what is usually a reason to think again. From memory of common
 * practice; the decision is the licensed practitioner's and the local protocol's, never the program's.
 */

export const SCREENING_QUESTIONS = [
  'Fracture, surgery or repair here that is still in its protected period',
  'Acute sprain, strain, swelling or inflammation here',
  'Joint that gives way, or has been out of place',
  'Heart or blood pressure trouble, chest symptoms, aneurysm',
  'Clotting trouble or blood thinners',
  'Epilepsy, osteoporosis, pregnancy, metal in the limb',
  'Hard exercise in the last two days',
] as const;

/** Stop in the presence of pain above this (a BMJ Open Sport Exerc Med consensus paper, Table 3). */
export const PAIN_LIMIT = 3;

/** What a person should look at before going on; empty when nothing was said that asks for it. */
export function cautions(
  answers: Readonly<Record<string, string>>,
  painBefore: number | null,
): readonly string[] {
  const open = SCREENING_QUESTIONS.filter((question) => answers[question] === 'yes, not cleared');
  const unasked = SCREENING_QUESTIONS.filter((question) => answers[question] === undefined);
  return [
    ...open.map((question) => `${question}: not cleared. The licensed practitioner decides.`),
    ...(painBefore !== null && painBefore > PAIN_LIMIT
      ? [`Pain ${painBefore} of 10 before the test: above ${PAIN_LIMIT} the usual rule is to stop.`]
      : []),
    ...(unasked.length > 0 && unasked.length < SCREENING_QUESTIONS.length
      ? [`${unasked.length} of ${SCREENING_QUESTIONS.length} questions have no answer yet.`]
      : []),
  ];
}
