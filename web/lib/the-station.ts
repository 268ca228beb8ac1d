/** The one station that this page looks at, opened when a view first needs it. */
import { Station } from './station.svelte.ts';

/** After this many seconds without data the bar says since when, not for how long. */
export const LOST_WORDS_S = 5;

export const station = new Station();
