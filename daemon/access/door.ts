/** Reads who asks from a request: a bearer token for scripts, a cookie for pages and their sockets. */
import type { IncomingMessage } from 'node:http';
import type { Access } from './access.ts';
import { isForAnyone, mayAsk, mayListen } from './roles.ts';

const LOOPBACK = /^(?:127\.|::1$|::ffff:127\.)/;

export interface Door {
  /** Status and words where a request may not pass; null when it may. */
  refusal(
    request: IncomingMessage,
    path: string,
    what: 'request' | 'socket',
  ): { readonly status: 401 | 403; readonly words: string } | null;
  /** Closes an open socket once its code is revoked; returns what forgets it. */
  watch(request: IncomingMessage, path: string, close: () => void): () => void;
}

/** For benches that serve sockets without a station. */
export const OPEN_DOOR: Door = { refusal: () => null, watch: () => () => undefined };

export function createDoor(access: Access, { isOpen }: { readonly isOpen: boolean }): Door {
  const sockets = new Set<{ readonly mayStay: () => boolean; readonly close: () => void }>();
  const door: Door = {
    refusal(request, path, what) {
      if (isOpen || !access.isClosed) return null;
      const isHealth = path === '/api/health' && LOOPBACK.test(request.socket.remoteAddress ?? '');
      if (isHealth || isForAnyone(path)) return null;
      const role = access.roleOf(tokenIn(request));
      if (role === null) return { status: 401, words: 'This needs a code of this station.' };
      const may =
        what === 'socket' ? mayListen(role, path) : mayAsk(role, request.method ?? '', path);
      return may ? null : { status: 403, words: `This is not for a ${role}.` };
    },
    watch(request, path, close) {
      const socket = { mayStay: () => door.refusal(request, path, 'socket') === null, close };
      sockets.add(socket);
      return () => void sockets.delete(socket);
    },
  };
  access.onChange(() => {
    for (const socket of [...sockets]) if (!socket.mayStay()) socket.close();
  });
  return door;
}

function tokenIn({ headers }: IncomingMessage): string | null {
  const bearer = /^Bearer ([\w-]{1,64})$/.exec(headers.authorization ?? '')?.[1];
  if (bearer !== undefined) return bearer;
  return /(?:^|;\s*)momentarm=([\w-]{1,64})/.exec(headers.cookie ?? '')?.[1] ?? null;
}
