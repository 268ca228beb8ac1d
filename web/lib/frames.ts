/** One beat for the whole page: everything that moves is drawn in the same animation frame. */

type Draw = (now_ms: number) => void;

const draws = new Set<Draw>();
let request = 0;

/** Calls `draw` once a frame until the returned function is called. */
export function onFrame(draw: Draw): () => void {
  draws.add(draw);
  if (request === 0) request = requestAnimationFrame(beat);
  return () => {
    draws.delete(draw);
  };
}

function beat(): void {
  const now_ms = performance.now();
  for (const draw of draws) draw(now_ms);
  request = draws.size > 0 ? requestAnimationFrame(beat) : 0;
}
