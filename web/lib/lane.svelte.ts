/**
 * What the subject's screen knows: form, word, dots, and a level between 0 and 1. No number of the
 * measurement ever reaches it. Without fresh data it says so calmly, and never shows a frozen level.
 */
import type { LaneEvent } from '../../shared/wire/events.ts';
import { onFrame } from './frames.ts';
import { openLink, type Link } from './link.ts';
import { parseLaneEvent } from './message.ts';

/** A level older than this is not shown: loss must be told within half a second. */
const OLD_MS = 400;
/** A level at either end is told once and stands; then the lane itself is told every second. */
const STANDING_MS = 1300;

export type Lane = Extract<LaneEvent, { type: 'lane' }>;

export class LaneState {
  lane = $state.raw<Lane | null>(null);
  /** False while there is no fresh level. */
  isFresh = $state(false);
  /** The newest level, 0 to 1; moves at every frame and therefore is no rune. */
  level = 0;
  /** When the newest lane was heard, by the page's own clock. */
  laneAt_ms = 0;
  private heard_ms = Number.NEGATIVE_INFINITY;
  private readonly link: Link;
  private readonly stop: () => void;

  constructor() {
    this.link = openLink('/live/subject', {
      opened: () => undefined,
      closed: () => {
        this.heard_ms = Number.NEGATIVE_INFINITY;
        this.lane = null;
      },
      text: (text) => this.read(text),
      bytes: () => undefined,
    });
    this.stop = onFrame((now_ms) => {
      const isStanding = this.level === 0 || this.level === 1;
      this.isFresh = now_ms - this.heard_ms <= (isStanding ? STANDING_MS : OLD_MS);
    });
  }

  close(): void {
    this.stop();
    this.link.close();
  }

  private read(text: string): void {
    const event = parseLaneEvent(text);
    if (event?.type === 'lane') {
      this.lane = event;
      this.laneAt_ms = performance.now();
      if (this.heard_ms > 0) this.heard_ms = performance.now();
    } else if (event?.level === null) this.heard_ms = Number.NEGATIVE_INFINITY;
    else if (event) {
      this.level = Math.min(1, Math.max(0, event.level));
      this.heard_ms = performance.now();
    }
  }
}
