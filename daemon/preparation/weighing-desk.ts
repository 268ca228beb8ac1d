/** The weighing that is open at a station, and what is done with it. Refusals are told in words. */
import * as v from 'valibot';
import { patternById } from '../../shared/joints/index.ts';
import { positionValues, type WeighingRecord } from '../../shared/preparation/documents.ts';
import {
  createWeighingRun,
  type WeighingMethod,
  type WeighingRun,
} from '../../shared/preparation/weighing-run.ts';
import { blockedWords } from '../../shared/preparation/words.ts';
import type { Setup } from '../../shared/wire/events.ts';
import type { Catalogue } from '../catalogue/catalogue.ts';
import type { Item } from '../catalogue/items.ts';
import { bodyOf, expectedFor } from './expected.ts';
import type { Kept } from './in-force.ts';
import { weighingBody } from './weighing-body.ts';

export interface WeighingRequest {
  readonly method: WeighingMethod;
  /** One-way sweeps that are aimed at. */
  readonly sweeps: number;
  /** Null: the pattern's usual one, where it has one. */
  readonly horizontalAt_deg: number | null;
}

export interface WeighingDesk {
  readonly run: WeighingRun | null;
  start(request: WeighingRequest): string | null;
  hold(): string | null;
  drop(number: number): string | null;
  end(): void;
  /** `answer`: why the limb weighs next to nothing. */
  use(who: string, answer: 'machine' | 'limb' | null): string | null;
  discard(who: string): string | null;
}

export interface WeighingDeskOptions {
  readonly catalogue: Catalogue;
  readonly setup: () => Setup;
  /** Whose limb, where and when, for what is stored. */
  readonly whose: () => Pick<Setup, 'subject' | 'pattern' | 'side'> & {
    readonly station: string;
    readonly at: string;
  };
  readonly isRecording: () => boolean;
  readonly inForce: () => Kept<unknown> | null;
  /** Where the limb is now, as it was written down. */
  readonly position: () => Item | null;
  /** The catalogue has another weighing. */
  readonly stored: () => void;
}

const NOT_OPEN = 'No weighing is open.';
const RECORDING = 'A recording is under way: its gravity is part of it. End it first.';

export function createWeighingDesk(options: WeighingDeskOptions): WeighingDesk {
  const { catalogue, setup, whose, isRecording, inForce, stored } = options;
  let run: WeighingRun | null = null;

  return {
    get run() {
      return run;
    },
    start({ method, sweeps, horizontalAt_deg }) {
      const pattern = patternById(setup().pattern);
      if (!pattern) return `There is no joint pattern ${setup().pattern}.`;
      const body = bodyOf(catalogue, setup().subject);
      run = createWeighingRun({
        method,
        range_deg: setup().rangeLimits_deg,
        nWanted: sweeps,
        bodyMass_kg: body.mass_kg,
        expected: body.mass_kg === null ? null : expectedFor(pattern, setup(), body),
        horizontalAt_deg: horizontalAt_deg ?? pattern.usualHorizontalAt_deg,
      });
      return null;
    },
    hold() {
      if (run?.view.method !== 'hold') return NOT_OPEN;
      run.hold();
      return null;
    },
    drop(number) {
      if (!run) return NOT_OPEN;
      run.drop(number);
      return null;
    },
    end() {
      run = null;
    },
    use(who, answer) {
      if (!run) return NOT_OPEN;
      if (isRecording()) return RECORDING;
      const { view } = run;
      const { fit, blocked, verdict } = view;
      if (!fit || blocked) return blockedWords(view);
      if (verdict === 'nothing' && answer === null) {
        return 'The limb weighs next to nothing. Say first whether the machine removes its weight.';
      }
      const bodyMass_kg = bodyOf(catalogue, setup().subject).mass_kg;
      const use = verdict === 'nothing' && answer === 'machine' ? 'machine' : 'removed';
      catalogue.create(
        'weighing',
        weighingBody(view, fit, { ...whose(), use, bodyMass_kg, position: placeOf(options) }),
        who,
      );
      run = null;
      stored();
      return null;
    },
    discard(who) {
      if (isRecording()) return RECORDING;
      const weighed = inForce();
      if (!weighed) return 'No weighing is in force.';
      const { id, revision } = weighed;
      catalogue.change('weighing', id, { body: null, base: revision, who });
      stored();
      return null;
    },
  };
}

/** Nothing when no setting was written down. */
function placeOf({ position }: WeighingDeskOptions): WeighingRecord['position'] {
  const values = v.safeParse(positionValues, position()?.body['values']);
  const isWritten = values.success && Object.keys(values.output).length > 0;
  return isWritten ? values.output : undefined;
}
