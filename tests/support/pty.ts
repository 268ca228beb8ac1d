/** A serial line without hardware: two pseudo-terminals joined by socat, torn away and put back at will. */
import { spawn, type ChildProcess } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, rmSync } from 'node:fs';
import { access, open, type FileHandle } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';

export interface PtyPair {
  /** What the station opens. */
  readonly host: string;
  /** What the device writes to. */
  readonly device: string;
  /** The device's end, for writing. */
  openDevice(): Promise<FileHandle>;
  /** The cable is pulled: both names vanish. */
  tear(): Promise<void>;
  /** ... and put back under the same names. */
  restore(): Promise<void>;
  /** Ends socat and removes the names. */
  end(): Promise<void>;
}

export async function createPty(): Promise<PtyPair> {
  const folder = mkdtempSync(join(tmpdir(), 'momentarm-pty-'));
  const host = join(folder, 'host');
  const device = join(folder, 'device');
  let socat: ChildProcess | null = null;

  async function restore(): Promise<void> {
    const side = (link: string): string => `pty,raw,echo=0,link=${link}`;
    socat = spawn('socat', [side(host), side(device)], { stdio: 'ignore' });
    for (let k = 0; k < 200; k += 1) {
      const found = await Promise.all([access(host), access(device)]).catch(() => null);
      if (found !== null) return;
      await sleep(10);
    }
    throw new Error('socat made no pseudo-terminals');
  }

  async function tear(): Promise<void> {
    if (socat === null) return;
    const exited = once(socat, 'exit');
    socat.kill('SIGTERM');
    await exited;
    socat = null;
  }

  await restore();
  return {
    host,
    device,
    openDevice: () => open(device, 'w'),
    tear,
    restore,
    async end() {
      await tear();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}
