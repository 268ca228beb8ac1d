/**
 * Finds the baud rate of a serial line by listening at five rates in turn: the rate at which the bytes
 * are valid is the one. When none is, the question is put to a person; nothing is guessed.
 */
import { judge, type Judgement } from '../../shared/decode/detect.ts';

/** The ones in use with DAQs, the likeliest first. */
export const BAUD_RATES = [921_600, 115_200, 460_800, 230_400, 57_600] as const;
/** A board that restarts when the line is opened speaks after about two seconds. */
const FIRST_BYTE_ms = 3000;
/** Ten lines at 50 Hz, or one packet in any case. */
const LISTEN_ms = 400;
/** Enough to judge; more would only take longer. */
const ENOUGH_BYTES = 4096;

/** A line whose rate can be changed while it is open. */
export interface TunableLine {
  setBaud(baud: number): Promise<void>;
  /** Bytes go to `take` until the returned function is called. */
  listen(take: (bytes: Uint8Array) => void): () => void;
}

export interface Found {
  readonly baud: number;
  /** What was heard at this rate; the stream goes on after it. */
  readonly heard: Uint8Array;
}

/** Rejects with an Error whose message is a sentence, a question where it is one. */
export async function findBaud(line: TunableLine, signal: AbortSignal): Promise<Found> {
  const tried: string[] = [];
  for (const baud of BAUD_RATES) {
    await line.setBaud(baud);
    const heard = await hear(line, signal);
    signal.throwIfAborted();
    if (heard.length === 0) {
      throw new Error('The line is open but sends nothing, so its baud rate cannot be found.');
    }
    const judgement = judge(heard);
    if (judgement.verdict !== 'doubtful') return { baud, heard };
    tried.push(`${baud}: ${percentOf(judgement)}`);
  }
  throw new Error(
    `Which baud rate and format is it? Add baud= and format=. Readable at ${tried.join(', ')}.`,
  );
}

/** How much of what was heard is readable, in words. */
export function percentOf({ lines, packets }: Judgement): string {
  return `${Math.round(100 * Math.max(lines, packets))} %`;
}

function hear(line: TunableLine, signal: AbortSignal): Promise<Uint8Array> {
  return new Promise((resolve) => {
    const pieces: Uint8Array[] = [];
    let nBytes = 0;
    let timer = setTimeout(end, FIRST_BYTE_ms);
    const unlisten = line.listen((bytes) => {
      if (nBytes === 0) {
        clearTimeout(timer);
        timer = setTimeout(end, LISTEN_ms);
      }
      pieces.push(bytes.slice());
      nBytes += bytes.length;
      if (nBytes >= ENOUGH_BYTES) end();
    });
    signal.addEventListener('abort', end, { once: true });
    function end(): void {
      clearTimeout(timer);
      unlisten();
      signal.removeEventListener('abort', end);
      const heard = new Uint8Array(nBytes);
      let at = 0;
      for (const piece of pieces) {
        heard.set(piece, at);
        at += piece.length;
      }
      resolve(heard);
    }
  });
}
