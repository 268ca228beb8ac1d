/** What a failing disk means, in words a person can act on, and how much room is left on it. */
import { statfs } from 'node:fs/promises';
import type { FaultCode } from '../../shared/faults.ts';

export interface DiskTrouble {
  readonly code: FaultCode;
  /** One sentence. */
  readonly words: string;
  /** The same write may succeed later on the same open file; otherwise a new file is needed. */
  readonly isWorthRepeating: boolean;
}

export function diskTrouble(error: unknown): DiskTrouble {
  const code = errorCode(error);
  const isFull = code === 'ENOSPC' || code === 'EDQUOT';
  return {
    code: isFull ? 'diskFull' : 'diskWriteFailed',
    words: WORDS[code] ?? `the disk refused to write (${code})`,
    isWorthRepeating: isFull,
  };
}

export function errorCode(error: unknown): string {
  if (error instanceof Error && 'code' in error && typeof error.code === 'string') {
    return error.code;
  }
  return error instanceof Error ? error.message : String(error);
}

const WORDS: Readonly<Record<string, string>> = {
  ENOSPC: 'the disk is full',
  EDQUOT: 'the quota of this account on the disk is used up',
  EROFS: 'the disk is read-only',
  EIO: 'the disk reported a read or write error',
  EACCES: 'this account may not write here',
  EPERM: 'this account may not write here',
  ENOENT: 'the folder is gone',
  ENOTDIR: 'a file stands where a folder should be',
  EMFILE: 'the program has too many files open',
  ENODEV: 'the disk was taken away',
};

/** Bytes this account may still write where `folder` is; infinite where the system does not say. */
export async function freeBytes(folder: string): Promise<number> {
  try {
    const { bavail, bsize } = await statfs(folder);
    return bavail * bsize;
  } catch {
    return Infinity;
  }
}
