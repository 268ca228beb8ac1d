/**
 * Who may do what: the tester everything, the researcher what is read, exported and decided, the subject's
 * screen nothing but its own stream. One rule for the API, the pages and the sockets.
 */
export const ROLES = ['tester', 'researcher', 'subject'] as const;
export type Role = (typeof ROLES)[number];

/** Changes that a researcher makes: decisions about what was recorded, and notes; all else is the station's. */
const RESEARCH_WRITES: readonly RegExp[] = [
  /^\/api\/(decisions|boundaries|analyses|assignments|notes)(\/[^/]+)?$/,
  /^\/api\/audit\/[^/]+\/undo$/,
  /^\/api\/(research|analyze|exports|reports|report)(\/|$)/,
];
/** Who may come in, and what waits at the door. */
const PRIVATE: readonly RegExp[] = [/^\/api\/access\/(codes|codes\/[^/]+\/revoke)$/];
/** The only socket of a subject's screen. */
export const SUBJECT_SOCKET = '/live/subject';

/** Answered to anyone who may speak to the station at all. */
export function isForAnyone(path: string): boolean {
  return path === '/api/access' || path === '/api/access/enter';
}

export function mayAsk(role: Role, method: string, path: string): boolean {
  if (role === 'tester' || isForAnyone(path)) return true;
  if (role === 'subject' || PRIVATE.some((one) => one.test(path))) return false;
  if (method === 'GET' || method === 'HEAD') return true;
  return RESEARCH_WRITES.some((one) => one.test(path));
}

export function mayListen(role: Role, path: string): boolean {
  return path === SUBJECT_SOCKET || role !== 'subject';
}
