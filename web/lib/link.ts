/**
 * The only file of the pages that opens a socket. Opens it again by itself, for ever, and hands every
 * message on; knows nothing of what they mean.
 */

/** First wait before trying again, doubled up to the longest: a restart is over within a second. */
const FIRST_WAIT_MS = 250;
const LONGEST_WAIT_MS = 2000;
/** The daemon speaks at least once a second; after this silence the connection is taken for dead. */
const DEAD_MS = 5000;

export interface LinkListener {
  opened(): void;
  /** The connection is gone; `tries` counts the attempts since it was last open. */
  closed(tries: number): void;
  text(text: string): void;
  bytes(bytes: ArrayBuffer): void;
}

export interface Link {
  /** Does nothing while the link is down: whatever is sent here is only worth sending now. */
  send(text: string): void;
  close(): void;
}

/** Opens `/live` or `/live/subject` of the daemon that served this page. */
export function openLink(path: string, listener: LinkListener): Link {
  const url = new URL(path, location.href);
  url.protocol = url.protocol === 'https:' ? 'wss:' : 'ws:';
  let socket: WebSocket | null = null;
  let tries = 0;
  let isWanted = true;
  let retry = 0;
  let watchdog = 0;

  const heard = () => {
    clearTimeout(watchdog);
    watchdog = window.setTimeout(lost, DEAD_MS);
  };
  const lost = () => {
    if (!socket) return;
    const gone = socket;
    socket = null;
    clearTimeout(watchdog);
    gone.close();
    tries += 1;
    listener.closed(tries);
    const wait = Math.min(LONGEST_WAIT_MS, FIRST_WAIT_MS * 2 ** (tries - 1));
    if (isWanted) retry = window.setTimeout(open, wait);
  };
  const open = () => {
    const opening = new WebSocket(url);
    opening.binaryType = 'arraybuffer';
    socket = opening;
    heard();
    opening.onopen = () => {
      if (socket !== opening) return;
      tries = 0;
      listener.opened();
    };
    opening.onclose = () => {
      if (socket === opening) lost();
    };
    opening.onmessage = ({ data }: MessageEvent<ArrayBuffer | string>) => {
      if (socket !== opening) return;
      heard();
      if (typeof data === 'string') listener.text(data);
      else listener.bytes(data);
    };
  };
  open();
  return {
    send(text) {
      if (socket?.readyState === WebSocket.OPEN) socket.send(text);
    },
    close() {
      isWanted = false;
      clearTimeout(retry);
      lost();
    },
  };
}
