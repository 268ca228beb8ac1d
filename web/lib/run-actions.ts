/** The keys of a run; a key that means nothing at its stage is left to others or does nothing. */
import { EARLY_REASONS } from '../../shared/session/run.ts';
import type { KeyActions } from './keyboard.ts';
import type { Run } from './run.svelte.ts';

export function runActions(run: Run): KeyActions {
  const plan = { G: () => (run.panel = run.panel === 'plan' ? 'none' : 'plan') };
  if (!run.isOn) return plan;
  const post = (path: string) => () => void run.post(path);
  const reasons = run.isAskingWhy
    ? Object.fromEntries(EARLY_REASONS.map((why, k) => [String(k + 1), () => run.why(why)]))
    : {};
  return {
    ...plan,
    ...reasons,
    ' ': () => {
      if (!pressed()) run.go();
    },
    E: post('end'),
    Q: post('abort'),
    X: () => run.reject(),
    Z: post('undo'),
    V: post('adverse'),
    D: post('adopt'),
    '+': post('more'),
    '=': post('more'),
    O: post('repeat'),
    W: post('close'),
    H: () => run.holdRest(),
    B: () => run.show({ isBlank: !run.view?.screen.isBlank }),
    K: () => (run.panel = run.panel === 'screen' ? 'none' : 'screen'),
    P: () => document.querySelector<HTMLInputElement>('input[name="score-pain"]')?.focus(),
    ArrowUp: () => run.select(-1),
    ArrowDown: () => run.select(1),
  };
}

/** Space on a button presses that button, as everywhere. */
function pressed(): boolean {
  const focused = document.activeElement;
  if (!(focused instanceof HTMLButtonElement)) return false;
  focused.click();
  return true;
}
