/** Frames one after the other in one array. */
export function join(frames: readonly Uint8Array[]): Uint8Array {
  const all = new Uint8Array(frames.reduce((sum, frame) => sum + frame.length, 0));
  let at = 0;
  for (const frame of frames) {
    all.set(frame, at);
    at += frame.length;
  }
  return all;
}
