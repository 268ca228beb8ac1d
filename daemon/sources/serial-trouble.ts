/** Why a serial line cannot be used, in one plain sentence. The library's errors carry only text. */

const CAUSES: readonly (readonly [text: RegExp, words: (path: string) => string])[] = [
  [
    /No such file|ENOENT|File not found|cannot find/i,
    (path) => `There is no ${path}. Plug the device in, or look for its name.`,
  ],
  [
    /Cannot lock port|Resource temporarily unavailable|EBUSY|busy/i,
    (path) => `Another program holds ${path}. Close it there.`,
  ],
  [
    /Access denied/i,
    (path) => `${path} cannot be opened: another program holds it, or you may not use it.`,
  ],
  [
    /Permission denied|EACCES|EPERM|not permitted/i,
    (path) =>
      `No permission to open ${path}. On Linux add yourself to the group dialout ` +
      '(sudo usermod -aG dialout $USER) and log in again.',
  ],
  [
    /Inappropriate ioctl|Not a typewriter|Invalid argument|EINVAL|ENOTTY/i,
    (path) => `${path} is no serial line, or cannot run at this baud rate.`,
  ],
  [
    /Input\/output error|EIO|ENXIO|No such device|disconnected|Bad file descriptor/i,
    (path) => `${path} is gone.`,
  ],
];

export function serialTrouble(error: Error, path: string): string {
  const known = CAUSES.find(([text]) => text.test(error.message));
  return known === undefined ? `${path}: ${error.message}` : known[1](path);
}
