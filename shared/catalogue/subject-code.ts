/** Does a subject's code look like a name or a date of birth? A warning, not a refusal: codes are the site's own. */

const NAME = 'This looks like a name. Use a code that says nothing of the person, e.g. SH-03.';
const BIRTH =
  'This looks like a date of birth. Use a code that says nothing of the person, e.g. SH-03.';

/** Words that codes are made of. */
const CODE_WORDS =
  'subject participant patient control pilot test demo group study visit site'.split(' ');
/** Letters of a word that can be spoken. */
const LEAST_NAME_LETTERS = 4;
const EARLIEST_YEAR = 1900;

export function codeWarnings(code: string): string[] {
  const warnings: string[] = [];
  if (words(code).some(isNameShaped)) warnings.push(NAME);
  if (isBirthDateShaped(code)) warnings.push(BIRTH);
  return warnings;
}

function words(code: string): string[] {
  return code.split(/[^A-Za-z]+/).filter((word) => word !== '');
}

/** Four letters and more with a vowel, unless all of them are capitals or it is a word of codes. */
function isNameShaped(word: string): boolean {
  const isSpoken = word.length >= LEAST_NAME_LETTERS && /[aeiouy]/i.test(word);
  const isAbbreviation = word === word.toUpperCase() && word.length <= LEAST_NAME_LETTERS;
  return isSpoken && !isAbbreviation && !CODE_WORDS.includes(word.toLowerCase());
}

/** Year, month and day in any of the three orders, with or without marks between; six digits too. */
function isBirthDateShaped(code: string): boolean {
  for (const [digits] of code.matchAll(/\d[\d._-]*\d/g)) {
    const marked = /^(\d{1,4})[._-](\d{1,2})[._-](\d{1,4})$/.exec(digits);
    const parts = marked?.slice(1) ?? split(digits);
    if (parts.some(Boolean) && orders(parts).some(([y = '', m = '', d = '']) => isDate(y, m, d))) {
      return true;
    }
  }
  return false;
}

/** 8 digits as year first; the other orders are tried on the same text below. */
function split(digits: string): string[] {
  return /^(\d{8}|\d{6})$/.test(digits) ? [digits] : [];
}

function orders(parts: readonly string[]): string[][] {
  const [one = '', two = '', three = ''] = parts;
  if (parts.length === 3)
    return [
      [one, two, three],
      [three, two, one],
      [three, one, two],
    ];
  const year = one.length - 4;
  return [
    [one.slice(0, year), one.slice(year, year + 2), one.slice(year + 2)],
    [one.slice(4), one.slice(2, 4), one.slice(0, 2)],
    [one.slice(4), one.slice(0, 2), one.slice(2, 4)],
  ];
}

/** `latest` years are the caller's business: any year from 1900 to 2099 will do. */
function isDate(year: string, month: string, day: string): boolean {
  const isYear = year.length === 2 || (Number(year) >= EARLIEST_YEAR && Number(year) < 2100);
  const [m, d] = [Number(month), Number(day)];
  return year.length !== 1 && year.length !== 3 && isYear && m >= 1 && m <= 12 && d >= 1 && d <= 31;
}
