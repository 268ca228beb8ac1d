/**
 * A recipe on trial beside the stored one: each change computes the set again in this page, by the code
 * that made the stored numbers. Nothing is stored until it is kept.
 */
import {
  differingPlaces,
  type ParameterPlace,
  type RecipeValue,
  withValue,
} from '../../../shared/recipe/edit.ts';
import type { Recipe } from '../../../shared/recipe/recipe.ts';
import { ask, askBytes } from '../api.ts';
import { desk } from '../i18n/desk.ts';
import { isRecord } from '../message.ts';
import { startRecompute } from './thread.ts';
import type { Asked, Computed, Opened, Told } from './recompute.ts';

export class Trial {
  input = $state.raw<Opened | null>(null);
  a = $state.raw<Computed | null>(null);
  /** The newest answer; may be of an earlier recipe than `recipe` for some milliseconds. */
  b = $state.raw<Computed | null>(null);
  recipe = $state.raw<Recipe | null>(null);
  problem = $state('');
  /** From a change to its numbers; null until something was changed. */
  took_ms = $state<number | null>(null);
  isKeeping = $state(false);
  private readonly id: string;
  private worker: Worker | null = null;
  private asked_ms = 0;
  private isBusy = false;

  constructor(id: string) {
    this.id = id;
  }

  get changed(): readonly ParameterPlace[] {
    return this.a && this.recipe ? differingPlaces(this.a.recipe, this.recipe) : [];
  }

  async open(): Promise<void> {
    const answer = await askBytes(`/api/recordings/${encodeURIComponent(this.id)}/signal`);
    if (!answer.isGood) {
      this.problem = answer.problem;
      return;
    }
    this.worker = startRecompute();
    this.worker.addEventListener('message', ({ data }: MessageEvent<Told>) => this.hear(data));
    this.tell({ kind: 'open', bytes: answer.value });
  }

  close(): void {
    this.worker?.terminate();
    this.worker = null;
  }

  /** What the recipe does not take is told in `problem`, and nothing changes. */
  change(place: ParameterPlace, value: RecipeValue): boolean {
    if (!this.recipe) return false;
    const next = withValue(this.recipe, place, value);
    if ('problem' in next) {
      this.problem = next.problem;
      return false;
    }
    this.problem = '';
    this.recipe = next.recipe;
    this.asked_ms = performance.now();
    this.compute();
    return true;
  }

  back(): void {
    this.recipe = this.a?.recipe ?? null;
    this.b = this.a;
    this.problem = '';
    this.took_ms = null;
  }

  /** Stores B as this recording's recipe: its results are computed anew, those of A stay on the disk. */
  async keep(who: string): Promise<boolean> {
    if (!this.recipe || this.changed.length === 0 || this.isKeeping || this.isBusy) return false;
    this.isKeeping = true;
    const body = { recording: this.id, recipe: this.recipe };
    const path = `/api/analyses/${encodeURIComponent(this.id)}`;
    const kept = await ask(path, revisionOf);
    const answer = kept.isGood
      ? await ask(path, isRecordOrNull, { method: 'PUT', body: { who, base: kept.value, body } })
      : kept.status === 404
        ? await ask('/api/analyses', isRecordOrNull, { method: 'POST', body: { who, body } })
        : kept;
    this.isKeeping = false;
    if (!answer.isGood) {
      this.problem = answer.problem;
      return false;
    }
    if (this.b) this.a = this.b;
    this.back();
    return true;
  }

  private tell(asked: Asked): void {
    this.worker?.postMessage(asked);
  }

  /** One at a time; what was changed meanwhile is computed when that one has answered. */
  private compute(): void {
    if (this.isBusy || !this.recipe) return;
    this.isBusy = true;
    this.tell({ kind: 'compute', recipe: this.recipe });
  }

  private hear(told: Told): void {
    if (told.kind === 'opened') {
      this.input = told.input;
      this.recipe = told.input.recipe;
      this.compute();
      return;
    }
    this.isBusy = false;
    if (told.kind === 'failed') {
      this.problem = told.problem || desk.recipe.failed;
      return;
    }
    if (told.kind !== 'computed') return;
    const { result } = told;
    if (this.a === null) this.a = result;
    this.b = result;
    // A recipe that came back over the thread is a copy: what it says is compared, not which it is.
    const isNewest =
      this.recipe !== null && differingPlaces(result.recipe, this.recipe).length === 0;
    if (!isNewest) this.compute();
    else if (this.asked_ms > 0) this.took_ms = performance.now() - this.asked_ms;
  }
}

function revisionOf(body: unknown): number | null {
  return isRecord(body) && typeof body['revision'] === 'number' ? body['revision'] : null;
}

function isRecordOrNull(body: unknown): true | null {
  return isRecord(body) ? true : null;
}
