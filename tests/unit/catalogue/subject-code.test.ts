/** Codes that look like a person: names and dates of birth that were made up for this list. */
import { describe, expect, test } from 'vitest';
import { codeWarnings } from '../../../shared/catalogue/subject-code.ts';

describe('codes of subjects', () => {
  test.each(['SH-03', 'P017', 'a-12', 'subject_4', 'CTRL-2', 'TEST', 'X.9', 'study2-017', 'K4711'])(
    '%s draws no warning',
    (code) => expect(codeWarnings(code)).toEqual([]),
  );

  test.each(['Marlow', 'jo.Tandell', 'HARGROVE', 'K-Vesterby-2', 'Anneka01'])(
    '%s looks like a name',
    (code) => expect(codeWarnings(code).join()).toContain('a name'),
  );

  test.each([
    '19870412',
    '12.04.1987',
    '1987-04-12',
    '04-12-1987',
    'SH-120487',
    'x870412',
    '31.12.99',
  ])('%s looks like a date of birth', (code) =>
    expect(codeWarnings(code).join()).toContain('a date of birth'),
  );

  test.each(['SH-999999', '1987', '123', '99.99.9999', '20231345'])(
    '%s is a number that is no date',
    (code) => expect(codeWarnings(code)).toEqual([]),
  );
});
