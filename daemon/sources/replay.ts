/**
 * A recording or a plain table as a source: its own samples at its own pace, or a multiple of it.
 * Every sample and hole is sent, however late. When it is over, it begins again.
 */
import { existsSync, statSync } from 'node:fs';
import { parseWiring } from '../../shared/wiring/wiring.ts';
import { UsageError } from '../cli/command.ts';
import { monotonic_ns } from '../clock.ts';
import { isRecordingId, recordingFolder } from '../store/file-names.ts';
import { openRecording } from '../store/recording.ts';
import type { Connection, Source, SourceSink, SourceUrl } from './index.ts';
import { recordingPieces } from './replay-recording.ts';
import { tablePieces } from './replay-table.ts';
import { checkWireOptions, shown } from './url-wire.ts';

/** Bytes and when they are due, in seconds of the recording's own time. */
export interface Piece {
  readonly due_s: number;
  readonly bytes: Uint8Array;
}

/** Finer than the eye, and no more wake-ups than a device's packets would cost. */
const TICK_ms = 10;
/** An hour in four seconds: faster than this the station could not follow. */
const MOST_SPEED = 1000;

/** Ids are looked up in this data folder. */
export function replayFrom(dataFolder: string): Source {
  return {
    id: 'replay',
    form: 'replay:RECORDING?speed=1',
    about: 'A recording (id, folder) or a table (.csv, .csv.gz), again and again, at its own pace.',
    check(url) {
      checkWireOptions(url, ['speed']);
      if (url.target === '') {
        throw new UsageError(`--source ${shown(url.text)}: name a recording or a table to replay`);
      }
      speedOf(url);
    },
    wiring(url) {
      const folder = folderOf(url, dataFolder);
      const wiring = folder === null ? null : (openRecording(folder).start?.wiring ?? null);
      const parsed = wiring === null ? null : parseWiring(wiring);
      return parsed !== null && 'wiring' in parsed ? parsed.wiring : null;
    },
    open: (url, sink, signal) =>
      new Promise((resolve) =>
        resolve(play(piecesOf(url, dataFolder), speedOf(url), sink, signal)),
      ),
  };
}

/** The usual data folder; the station puts its own in. */
export const replay: Source = replayFrom('./data');

function speedOf({ text, options }: SourceUrl): number {
  const speed = Number(options['speed'] ?? 1);
  if (speed > 0 && speed <= MOST_SPEED) return speed;
  throw new UsageError(`--source ${shown(text)}: give speed above 0, at most ${MOST_SPEED}`);
}

/** Throws one plain sentence when there is nothing to replay. */
function piecesOf(url: SourceUrl, data: string): Iterator<Piece> {
  const folder = folderOf(url, data);
  if (folder !== null) return recordingPieces(openRecording(folder));
  if (existsSync(url.target)) return tablePieces(url.target, url.options['rate']);
  throw new Error(`There is no recording and no table ${shown(url.target)}.`);
}

function folderOf({ target }: SourceUrl, data: string): string | null {
  const candidates = [target, ...(isRecordingId(target) ? [recordingFolder(data, target)] : [])];
  return candidates.find((path) => existsSync(path) && statSync(path).isDirectory()) ?? null;
}

function play(
  pieces: Iterator<Piece>,
  speed: number,
  sink: SourceSink,
  signal: AbortSignal,
): Connection {
  let end: (why: string) => void = () => undefined;
  const closed = new Promise<string>((resolve) => {
    end = (why) => {
      clearInterval(timer);
      pieces.return?.();
      resolve(why);
    };
  });
  const start_ns = monotonic_ns();
  let next = pieces.next();
  const timer = setInterval(() => {
    const now_s = ((monotonic_ns() - start_ns) / 1e9) * speed;
    try {
      for (; next.done !== true && next.value.due_s <= now_s; next = pieces.next()) {
        sink.bytes(next.value.bytes, monotonic_ns());
      }
    } catch (error) {
      end(error instanceof Error ? error.message : String(error));
    }
    if (next.done === true) end('The recording is over; it begins again.');
  }, TICK_ms);
  if (signal.aborted) end('stopped');
  signal.addEventListener('abort', () => end('stopped'), { once: true });
  return {
    closed,
    close: () => {
      end('closed');
      return Promise.resolve();
    },
  };
}
