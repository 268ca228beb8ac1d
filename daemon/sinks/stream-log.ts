/**
 * The log of packed blocks: stream files with their heads, and the summary of each for the manifest.
 * A change of format, or a write error, begins the next file.
 */
import { createHash, randomBytes, type Hash } from 'node:crypto';
import { join } from 'node:path';
import { crc32 } from 'node:zlib';
import type { StreamFormat } from '../../shared/block/block.ts';
import { stampPlace } from '../../shared/record/block-codec.ts';
import type { SegmentSummary } from '../../shared/record/documents.ts';
import { encodeHeader, type StreamHeader } from '../../shared/record/file-header.ts';
import type { BlockLayout } from '../../shared/record/layout.ts';
import type { PackedBlock } from '../../shared/record/packer.ts';
import { streamFile } from '../store/file-names.ts';
import { openStreamFile } from '../store/stream-file.ts';
import { survey } from '../store/survey.ts';
import { createTally, type Tally } from '../store/tally.ts';
import { AppendLog } from './append-log.ts';

/** What blocks of one file share. A changed format is a new object. */
export interface StreamKind {
  readonly format: StreamFormat;
  readonly layout: BlockLayout;
}

export interface StoredBlock {
  readonly kind: StreamKind;
  readonly packed: PackedBlock;
  /** Host's monotonic time when it was packed. */
  readonly packed_ns: number;
}

export interface StreamLog {
  readonly log: AppendLog<StoredBlock>;
  /** Of all files, once the log is closed. */
  summaries(): SegmentSummary[];
}

export interface StreamLogOptions {
  readonly folder: string;
  readonly recording: string;
  /** A stream file was begun with this head. */
  readonly onFile: (header: StreamHeader, first: StoredBlock) => void;
  readonly onDurable: (block: StoredBlock) => void;
}

interface FileState {
  readonly header: StreamHeader;
  readonly hash: Hash;
  readonly tally: Tally;
  bytes: number;
}

export function createStreamLog(options: StreamLogOptions): StreamLog {
  const { folder, recording, onFile, onDurable } = options;
  const states = new Map<number, FileState>();

  const stateOf = (n: number): FileState => {
    const state = states.get(n);
    if (state === undefined) throw new Error(`stream file ${n} was not begun`);
    return state;
  };

  const log = new AppendLog<StoredBlock>({
    folder,
    fileName: streamFile,
    head(n, { kind }) {
      const { format, layout } = kind;
      const nonce = randomBytes(4).readUInt32LE();
      const header = { recording, segment: n, nonce, format, layout };
      const bytes = encodeHeader(header, crc32);
      const hash = createHash('sha256').update(bytes);
      states.set(n, { header, hash, tally: createTally(layout), bytes: bytes.length });
      return bytes;
    },
    onFile: (n, first) => onFile(stateOf(n).header, first),
    encode({ packed }, n, sequence) {
      stampPlace(packed.bytes, { nonce: stateOf(n).header.nonce, sequence }, crc32);
      return packed.bytes;
    },
    needsNewFile: (first, next) => first.kind !== next.kind,
    onWritten({ packed }, bytes, n) {
      const state = stateOf(n);
      state.hash.update(bytes);
      state.tally.add(bytes, packed.head);
      state.bytes += bytes.length;
    },
    onDurable,
  });

  return {
    log,
    summaries: () =>
      log.files.map(({ n, name, isAbandoned }) => {
        const state = stateOf(n);
        if (isAbandoned) return surveyAgain(join(folder, name), state.header);
        const { bytes, hash, tally, header } = state;
        const sha256 = hash.digest('hex');
        const { rate_Hz } = header.format;
        return { name, bytes, sha256, rate_Hz, ...tally.summary(), damagedBlocks: 0 };
      }),
  };
}

/** After a write error only the disk knows what the file holds. */
function surveyAgain(path: string, header: StreamHeader): SegmentSummary {
  try {
    const file = openStreamFile(path, header);
    if (!('trouble' in file)) return survey(file).summary;
  } catch {
    // A disk that cannot be read either: the file is stated as holding nothing that counts.
  }
  const empty = createTally(header.layout).summary();
  const { rate_Hz } = header.format;
  const name = streamFile(header.segment);
  return { name, bytes: 0, sha256: '', rate_Hz, ...empty, damagedBlocks: 0 };
}
