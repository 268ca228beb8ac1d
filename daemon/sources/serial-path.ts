/**
 * Watches the path of a serial device: a pulled plug or a closed pseudo-terminal removes it, and what
 * is plugged in again is another device under the same name, which an open port never notices.
 */
import { lstat, stat } from 'node:fs/promises';

/** A gone device is told within half a second, two looks. */
const LOOK_EVERY_ms = 200;

/** Calls `gone` once when the path stops being what it was. Where it is no file (Windows) never. */
export function watchPath(path: string, gone: () => void): () => void {
  let before: string | null = null;
  let isStopped = false;
  let timer = setTimeout(look, 0);

  async function identify(): Promise<string> {
    const [name, device] = await Promise.all([lstat(path), stat(path)]);
    return [name.ino, name.isSymbolicLink() ? name.mtimeMs : 0, device.ino, device.rdev].join(' ');
  }

  function look(): void {
    identify()
      .catch(() => '')
      .then((now) => {
        if (isStopped) return;
        before ??= now;
        if (now !== before) {
          stop();
          gone();
        } else if (now !== '') {
          timer = setTimeout(look, LOOK_EVERY_ms);
        }
      })
      .catch(() => undefined);
  }

  function stop(): void {
    isStopped = true;
    clearTimeout(timer);
  }
  return stop;
}
