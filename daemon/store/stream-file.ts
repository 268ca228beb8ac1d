/**
 * Reads a stream file: its head, then its blocks one by one, each checked before it is believed.
 * Never writes. Blocks stand at fixed places, so damage never hides what comes after it.
 */
import { closeSync, fstatSync, openSync, readSync } from 'node:fs';
import { basename } from 'node:path';
import { crc32 } from 'node:zlib';
import {
  isHeadSound,
  readHead,
  troubleOf,
  type BlockHead,
  type BlockTrouble,
} from '../../shared/record/block-codec.ts';
import {
  decodeHeader,
  encodeHeader,
  headerSize,
  type StreamHeader,
} from '../../shared/record/file-header.ts';
import { BLOCK_HEADER_BYTES } from '../../shared/record/layout.ts';

/** One read call: large against a block, small against memory. */
const CHUNK_BYTES = 1 << 20;
const FIRST_PAGE = 4096;

export interface StreamFile {
  readonly path: string;
  readonly name: string;
  /** Length of the file when it was opened. */
  readonly bytes: number;
  readonly header: StreamHeader;
  /** Where the first block begins. */
  readonly headBytes: number;
  /** Why the file's own head is not believed; then a copy of it is used. */
  readonly headTrouble: string | null;
  /** Blocks that the file has room for, a last incomplete one included. */
  readonly places: number;
}

/** One block place. `bytes` is valid until the next one is taken. */
export interface ScannedBlock {
  readonly sequence: number;
  /** Where it begins in the file. */
  readonly offset: number;
  readonly bytes: Uint8Array;
  /** Null when the head itself is damaged; the payload may be damaged even if it is not. */
  readonly head: BlockHead | null;
  readonly trouble: BlockTrouble | null;
}

/** `copy` is the head as the events have it, for a file whose own head is damaged. */
export function openStreamFile(
  path: string,
  copy: StreamHeader | null,
): StreamFile | { readonly trouble: string } {
  return withFile(path, (fd) => {
    const { size } = fstatSync(fd);
    const page = readAt(fd, 0, FIRST_PAGE);
    const head = readAt(fd, 0, headerSize(page) ?? FIRST_PAGE);
    const own = decodeHeader(head, crc32);
    const headTrouble = 'trouble' in own ? own.trouble : null;
    const header = 'trouble' in own ? copy : own.value;
    if (header === null) return { trouble: headTrouble ?? 'its head cannot be read' };
    const headBytes = encodeHeader(header, crc32).length;
    const places = Math.max(Math.ceil((size - headBytes) / header.layout.stride), 0);
    return { path, name: basename(path), bytes: size, header, headBytes, headTrouble, places };
  });
}

/** Block places [first, end) in the order of the file. */
export function* scanBlocks(
  file: StreamFile,
  first = 0,
  end = file.places,
): Generator<ScannedBlock, void, undefined> {
  const { layout, nonce } = file.header;
  const { stride } = layout;
  const perChunk = Math.max(Math.min(Math.floor(CHUNK_BYTES / stride), end - first), 1);
  const chunk = new Uint8Array(perChunk * stride);
  const fd = openSync(file.path, 'r');
  try {
    for (let from = first; from < end; from += perChunk) {
      const nBlocks = Math.min(perChunk, end - from);
      const wanted = chunk.subarray(0, nBlocks * stride);
      const got = readInto(fd, wanted, file.headBytes + from * stride);
      for (let k = 0; k < nBlocks; k += 1) {
        const bytes = chunk.subarray(k * stride, Math.min((k + 1) * stride, got));
        const place = { nonce, sequence: from + k };
        const trouble = troubleOf(bytes, layout, place, crc32);
        const hasHead = trouble === null || isHeadSound(bytes, place, crc32);
        yield {
          sequence: from + k,
          offset: file.headBytes + (from + k) * stride,
          bytes,
          head: hasHead ? readHead(bytes) : null,
          trouble,
        };
      }
    }
  } finally {
    closeSync(fd);
  }
}

/** Reads heads of single blocks, for searching. Null where the head is damaged. */
export function headReader(file: StreamFile): {
  head(sequence: number): BlockHead | null;
  close(): void;
} {
  const fd = openSync(file.path, 'r');
  const bytes = new Uint8Array(BLOCK_HEADER_BYTES);
  return {
    head(sequence) {
      const at = file.headBytes + sequence * file.header.layout.stride;
      if (readInto(fd, bytes, at) < bytes.length) return null;
      const place = { nonce: file.header.nonce, sequence };
      return isHeadSound(bytes, place, crc32) ? readHead(bytes) : null;
    },
    close: () => closeSync(fd),
  };
}

function withFile<T>(path: string, use: (fd: number) => T): T {
  const fd = openSync(path, 'r');
  try {
    return use(fd);
  } finally {
    closeSync(fd);
  }
}

function readAt(fd: number, position: number, length: number): Uint8Array {
  const bytes = new Uint8Array(length);
  return bytes.subarray(0, readInto(fd, bytes, position));
}

/** Fills as much as the file has; gives the number of bytes. */
function readInto(fd: number, bytes: Uint8Array, position: number): number {
  let done = 0;
  while (done < bytes.length) {
    const n = readSync(fd, bytes, done, bytes.length - done, position + done);
    if (n === 0) break;
    done += n;
  }
  return done;
}
