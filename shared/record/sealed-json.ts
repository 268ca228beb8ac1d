/**
 * JSON that notices damage: its last member is the CRC-32 of every byte before that member's comma.
 *
 * | form     | text                                                                     |
 * |----------|--------------------------------------------------------------------------|
 * | document | `{\n  "document": ...` … `,\n  "crc32": "89abcdef"\n}\n`, indented by 2   |
 * | line     | `{"sequence":0` … `,"crc32":"89abcdef"}\n`, for files that are appended to |
 */
import { asciiBytes, asciiText } from '../decode/ascii.ts';
import { asciiJson, type Crc32 } from './bytes.ts';

interface Form {
  readonly indent: number;
  readonly before: string;
  readonly after: string;
}

const DOCUMENT: Form = { indent: 2, before: ',\n  "crc32": "', after: '"\n}\n' };
const LINE: Form = { indent: 0, before: ',"crc32":"', after: '"}\n' };
const HEX_DIGITS = 8;

/** The object must have at least one member, and none that is called `crc32`. */
export function sealDocument(object: object, crc: Crc32): Uint8Array {
  return seal(object, DOCUMENT, crc);
}

export function sealLine(object: object, crc: Crc32): Uint8Array {
  return seal(object, LINE, crc);
}

/** The object without its checksum; null when a byte is not what was written. */
export function openDocument(bytes: Uint8Array, crc: Crc32): object | null {
  return open(bytes, DOCUMENT, crc);
}

/** `bytes` ends with the line feed. */
export function openLine(bytes: Uint8Array, crc: Crc32): object | null {
  return open(bytes, LINE, crc);
}

function seal(object: object, form: Form, crc: Crc32): Uint8Array {
  const closed = asciiJson(object, form.indent);
  const body = closed.slice(0, form.indent > 0 ? -'\n}'.length : -'}'.length);
  return asciiBytes(body + form.before + hex(crc(asciiBytes(body))) + form.after);
}

function open(bytes: Uint8Array, form: Form, crc: Crc32): object | null {
  const tailLength = form.before.length + HEX_DIGITS + form.after.length;
  const bodyLength = bytes.length - tailLength;
  if (bodyLength < 1) return null;
  const body = bytes.subarray(0, bodyLength);
  const tail = asciiText(bytes, bodyLength, bytes.length);
  if (tail !== form.before + hex(crc(body)) + form.after) return null;
  const value: unknown = parseJson(
    asciiText(body, 0, bodyLength) + (form.indent > 0 ? '\n}' : '}'),
  );
  return typeof value === 'object' ? value : null;
}

/** Null for what is no JSON. */
export function parseJson(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}

function hex(crc: number): string {
  return (crc >>> 0).toString(16).padStart(HEX_DIGITS, '0');
}
