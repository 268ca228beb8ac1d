/** One key, one action: keys work wherever the focus is, except where something is being typed. */

export type KeyActions = Readonly<Record<string, () => void>>;

/** Inputs that are pressed, not typed into. */
const PRESSED = ['checkbox', 'radio'];

/** Names are those of `KeyboardEvent.key`, letters in capitals. Returns what undoes it. */
export function onKeys(actions: () => KeyActions): () => void {
  const listen = (event: KeyboardEvent) => {
    if (event.ctrlKey || event.metaKey || event.altKey || event.repeat) return;
    const name = event.key.length === 1 ? event.key.toUpperCase() : event.key;
    const isTyping =
      (event.target instanceof HTMLInputElement && !PRESSED.includes(event.target.type)) ||
      event.target instanceof HTMLTextAreaElement ||
      event.target instanceof HTMLSelectElement;
    if (isTyping && name !== 'Escape') return;
    const action = actions()[name];
    if (!action) return;
    event.preventDefault();
    action();
  };
  window.addEventListener('keydown', listen);
  return () => window.removeEventListener('keydown', listen);
}
