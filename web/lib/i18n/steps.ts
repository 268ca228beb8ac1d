/** Words of the steps before the sets: they come with the first of them that is opened. */
import type { Words } from './catalogue.ts';
import { check, setup } from './en-steps.ts';

const en = { setup, check } as const;

export const steps: Words<typeof en> = en;
