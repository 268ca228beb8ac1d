/** Length and digest of a small file of a recording. */
import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { FileSummary } from '../../shared/record/documents.ts';

/** Empty when the file cannot be read. */
export function fileSummary(folder: string, name: string): FileSummary {
  try {
    const bytes = readFileSync(join(folder, name));
    const sha256 = createHash('sha256').update(bytes).digest('hex');
    return { name, bytes: bytes.length, sha256 };
  } catch {
    return { name, bytes: 0, sha256: '' };
  }
}
