/** Text made from the code is fresh wherever people read it. */
import { expect, test } from 'vitest';
import { staleDocs } from './support/docs.ts';

test('generated text is fresh (else: npm run docs)', async () => {
  expect(await staleDocs()).toEqual([]);
});
