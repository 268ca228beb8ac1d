/** The log of ready-made bytes (event lines, undecoded bytes) with the digest of each of its files. */
import { createHash, type Hash } from 'node:crypto';
import type { FileSummary } from '../../shared/record/documents.ts';
import { fileSummary } from '../store/file-summary.ts';
import { AppendLog } from './append-log.ts';

export interface ByteLog {
  readonly log: AppendLog<Uint8Array>;
  /** Items that are on the disk for certain. */
  readonly nDurable: number;
  summaries(): FileSummary[];
}

export function createByteLog(folder: string, fileName: (n: number) => string): ByteLog {
  const states = new Map<number, { readonly hash: Hash; bytes: number }>();
  let nDurable = 0;
  const log = new AppendLog<Uint8Array>({
    folder,
    fileName,
    head(n) {
      states.set(n, { hash: createHash('sha256'), bytes: 0 });
      return new Uint8Array();
    },
    encode: (item) => item,
    onWritten(_item, bytes, n) {
      const state = states.get(n);
      if (state === undefined) return;
      state.hash.update(bytes);
      state.bytes += bytes.length;
    },
    onDurable: () => {
      nDurable += 1;
    },
  });
  return {
    log,
    get nDurable() {
      return nDurable;
    },
    summaries: () =>
      log.files.map(({ n, name, isAbandoned }) => {
        const state = states.get(n);
        if (isAbandoned || state === undefined) return fileSummary(folder, name);
        return { name, bytes: state.bytes, sha256: state.hash.digest('hex') };
      }),
  };
}
