/**
 * Codes of the people around a station: made once, shown once, kept as hashes. Until a tester's code is
 * there, whoever sits at this machine may do everything, so that a newcomer is not locked out.
 */
import { createHash, randomBytes, randomInt, timingSafeEqual } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import * as v from 'valibot';
import { wallClock } from '../clock.ts';
import { replaceFile } from '../platform.ts';
import { ROLES, type Role } from './roles.ts';

const NAME = 'access.json';
/** 128 bits: nobody finds one by trying. */
const TOKEN_BYTES = 16;
/** A code to type from another screen lives this long and opens one door once. */
const PAIRING_ms = 10 * 60_000;
/** Wrong codes in a row, from anyone, before all entering waits. */
const MOST_WRONG = 8;
const WAIT_AFTER_WRONG_ms = 60_000;
const MOST_CODES = 40;

const codeSchema = v.strictObject({
  id: v.string(),
  role: v.picklist(ROLES),
  sha256: v.pipe(v.string(), v.regex(/^[0-9a-f]{64}$/)),
  madeAt: v.string(),
});
const keptSchema = v.strictObject({ codes: v.array(codeSchema) });
type Code = v.InferOutput<typeof codeSchema>;

export interface Access {
  /** A tester's code is there: everyone else must show theirs. */
  readonly isClosed: boolean;
  readonly codes: readonly Pick<Code, 'id' | 'role' | 'madeAt'>[];
  /** Whose token it is; null for none or a wrong one. */
  roleOf(token: string | null): Role | null;
  /** A new token, told this once; or why not. The first one must be a tester's. */
  create(role: Role): Promise<{ readonly id: string; readonly token: string } | string>;
  /** False when there is none, or it is the last tester's. */
  revoke(id: string): Promise<boolean>;
  /** Six digits to type on another screen, good for one token of this role. */
  pair(role: Role): string;
  /** The token for a pairing code or a token itself; null when it is wrong, or too many were. */
  enter(code: string): Promise<{ readonly token: string; readonly role: Role } | null>;
  /** Called whenever a code is made or revoked. */
  onChange(tell: () => void): void;
}

/** A file that cannot be read leaves nobody in but by a new start without it: it is told, not passed over. */
export function openAccess(dataFolder: string): Access {
  const path = join(dataFolder, NAME);
  let codes: readonly Code[] = readCodes(path);
  const pairings = new Map<string, { readonly role: Role; readonly until_ms: number }>();
  const listeners: (() => void)[] = [];
  let nWrong = 0;
  let shutUntil_ms = 0;

  const keep = async (next: readonly Code[]): Promise<void> => {
    await replaceFile(path, `${JSON.stringify({ codes: next }, null, 2)}\n`);
    codes = next;
    for (const tell of listeners) tell();
  };
  const isClosed = (): boolean => codes.some(({ role }) => role === 'tester');
  const roleOf = (token: string | null): Role | null => {
    if (token === null) return null;
    const given = hashOf(token);
    return codes.find(({ sha256 }) => isEqual(sha256, given))?.role ?? null;
  };
  const create: Access['create'] = async (role) => {
    if (!isClosed() && role !== 'tester') return 'Make the tester’s code first.';
    if (codes.length >= MOST_CODES)
      return 'There are as many codes as a station needs; revoke one.';
    const token = randomBytes(TOKEN_BYTES).toString('base64url');
    const id = randomBytes(4).toString('hex');
    const madeAt = wallClock().toISOString();
    await keep([...codes, { id, role, sha256: hashOf(token), madeAt }]);
    return { id, token };
  };

  return {
    roleOf,
    create,
    onChange: (tell) => void listeners.push(tell),
    get isClosed() {
      return isClosed();
    },
    get codes() {
      return codes.map(({ id, role, madeAt }) => ({ id, role, madeAt }));
    },
    async revoke(id) {
      const left = codes.filter((code) => code.id !== id);
      const hasTester = left.some(({ role }) => role === 'tester');
      if (left.length === codes.length || (!hasTester && left.length > 0)) return false;
      await keep(left);
      return true;
    },
    pair(role) {
      const code = String(randomInt(1_000_000)).padStart(6, '0');
      pairings.set(code, { role, until_ms: wallClock().getTime() + PAIRING_ms });
      return code;
    },
    async enter(code) {
      const now_ms = wallClock().getTime();
      if (now_ms < shutUntil_ms) return null;
      const role = roleOf(code);
      if (role !== null) return { token: code, role };
      const pairing = pairings.get(code);
      pairings.delete(code);
      if (pairing && now_ms < pairing.until_ms) {
        nWrong = 0;
        const made = await create(pairing.role);
        return typeof made === 'string' ? null : { token: made.token, role: pairing.role };
      }
      nWrong += 1;
      if (nWrong >= MOST_WRONG) {
        nWrong = 0;
        shutUntil_ms = now_ms + WAIT_AFTER_WRONG_ms;
        pairings.clear();
      }
      return null;
    },
  };
}

function readCodes(path: string): readonly Code[] {
  let text: string;
  try {
    text = readFileSync(path, 'utf8');
  } catch {
    return [];
  }
  return v.parse(keptSchema, JSON.parse(text)).codes;
}

function hashOf(token: string): string {
  return createHash('sha256').update(token).digest('hex');
}

function isEqual(a: string, b: string): boolean {
  return timingSafeEqual(Buffer.from(a), Buffer.from(b));
}
