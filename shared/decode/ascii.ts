/** Text of the wire: one ASCII character a byte. */

/** Bytes [first, end) as text, one character a byte. */
export function asciiText(bytes: Uint8Array, first: number, end: number): string {
  let text = '';
  for (let at = first; at < end; at += 1) text += String.fromCharCode(bytes[at]);
  return text;
}

/** Bytes of a text; characters beyond ASCII become `?`. */
export function asciiBytes(text: string): Uint8Array {
  const bytes = new Uint8Array(text.length);
  for (let i = 0; i < text.length; i += 1) {
    const code = text.charCodeAt(i);
    bytes[i] = code < 0x80 ? code : 0x3f;
  }
  return bytes;
}
