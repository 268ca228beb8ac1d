/**
 * Runs in the browser: what one redraw of 30 s of three curves costs in four ways. Built for the bench,
 * never served: our rows, the plot library drawing every sample, and a bare canvas.
 */
import uPlot from 'uplot';
import { Envelope } from '../../../web/lib/envelope.ts';
import { FreshCurves } from '../../../web/lib/fresh-curves.ts';
import { sheetGeometry } from '../../../web/lib/geometry.ts';
import { RowPlot } from '../../../web/lib/plot.ts';

const SECONDS = 30;
/** Pixel columns of 2 s on a sheet of this length: the most that is drawn between two whole ones. */
const END_COLUMNS = 45;
const SIZE = { width: 1174, height: 408 };
const SCALES = { torque: [-126, 46], angle: [-44, 23], velocity: [-78, 78] } as const;
const INKS = {
  sheet: '#fffdf8',
  ink: '#1b1a17',
  ink3: '#66625a',
  rule2: '#827d71',
  hatch: '#9c968a',
  high: '#c24f00',
  torque: '#0072b2',
  angle: '#00895f',
  velocity: '#b0568a',
};

function samples(rate_Hz: number): Float32Array[] {
  const n = SECONDS * rate_Hz;
  const turn = (i: number) => (2 * Math.PI * i) / (3 * rate_Hz);
  const noise = (i: number) => ((Math.imul(i, 2654435761) >>> 0) / 2 ** 32 - 0.5) * 2;
  return [
    Float32Array.from({ length: n }, (_, i) => -40 + 70 * Math.sin(turn(i)) + noise(i)),
    Float32Array.from({ length: n }, (_, i) => -10 + 25 * Math.cos(turn(i))),
    Float32Array.from({ length: n }, (_, i) => 60 * Math.sin(turn(i)) + noise(i)),
  ];
}

export interface Times {
  /** Until the drawing is handed over. */
  readonly script_ms: readonly number[];
  /** Until the canvas can be read back, so that nothing is left to draw. */
  readonly painted_ms: readonly number[];
}

async function timed(
  n: number,
  host: HTMLElement,
  canvas: string,
  draw: (k: number) => void,
): Promise<Times> {
  const script_ms: number[] = [];
  const painted_ms: number[] = [];
  for (let k = 0; k < n + 5; k += 1) {
    const from = performance.now();
    draw(k);
    await Promise.resolve();
    const handed = performance.now();
    host.querySelector<HTMLCanvasElement>(canvas)?.getContext('2d')?.getImageData(0, 0, 1, 1);
    const painted = performance.now();
    if (k >= 5) {
      script_ms.push(handed - from);
      painted_ms.push(painted - from);
    }
    await new Promise((resolve) => requestAnimationFrame(resolve));
  }
  return { script_ms, painted_ms };
}

function place(): HTMLElement {
  const host = document.createElement('div');
  document.body.append(host);
  return host;
}

/** As live: the newest 20 ms are taken in, then either the whole sheet or only its end is drawn. */
function ours(
  rate_Hz: number,
  columns: readonly Float32Array[],
  n: number,
  part: 'whole' | 'end',
): Promise<Times> {
  const geometry = sheetGeometry(SIZE.width, SIZE.height, SCALES);
  const host = place();
  const look = { inks: INKS, isGrey: false, excluded: [], voids: [] };
  const plot = new RowPlot(host, geometry, { from_s: 0, to_s: SECONDS }, look);
  const end = new FreshCurves(host, geometry, SECONDS, 3);
  const width = geometry.time.right - geometry.time.left;
  const length = SECONDS * rate_Hz;
  const envelopes = columns.map(() => new Envelope({ length, rate_Hz, width }));
  const block = rate_Hz / 50;
  const early = length - (n + 5) * block;
  columns.forEach((column, c) => {
    for (let i = 0; i < early; i += 1) envelopes[c]?.push(column[i] ?? 0);
  });
  return timed(n, host, part === 'whole' ? 'canvas' : 'canvas.fresh', (k) => {
    columns.forEach((column, c) => {
      const first = early + k * block;
      for (let i = first; i < first + block; i += 1) envelopes[c]?.push(column[i] ?? 0);
    });
    const [torque, angle, velocity] = envelopes;
    if (!torque || !angle || !velocity) return;
    const { nPoints } = torque;
    const curves = {
      x_s: torque.x_s.subarray(0, nPoints),
      torque: torque.y.subarray(0, nPoints),
      angle: angle.y.subarray(0, nPoints),
      velocity: velocity.y.subarray(0, nPoints),
    };
    if (part === 'whole') plot.draw(curves, look);
    else end.draw(curves, Math.max(0, nPoints - 4 * END_COLUMNS), INKS);
  });
}

/** The library's own way: every sample is handed over, and it thins by itself. */
function wholeSeries(rate_Hz: number, columns: readonly Float32Array[], n: number) {
  const host = place();
  const x_s = Float64Array.from({ length: SECONDS * rate_Hz }, (_, i) => i / rate_Hz);
  const stroke = [INKS.torque, INKS.angle, INKS.velocity];
  const plot = new uPlot(
    {
      ...{ width: 668, height: 374, padding: [0, 0, 0, 0], pxAlign: 0 },
      axes: [{ show: false }, { show: false }],
      legend: { show: false },
      cursor: { show: false },
      scales: { x: { time: false, range: [0, SECONDS] }, y: { range: [-130, 130] } },
      series: [{}, ...stroke.map((ink) => ({ stroke: ink, width: 2, points: { show: false } }))],
    },
    [x_s, ...columns],
    host,
  );
  return timed(n, host, 'canvas', () => plot.setData([x_s, ...columns]));
}

/** The least there can be: three prepared paths of least and largest a pixel on a bare canvas. */
function bare(columns: readonly Float32Array[], n: number): Promise<Times> {
  const host = place();
  const canvas = document.createElement('canvas');
  canvas.width = 668;
  canvas.height = 374;
  host.append(canvas);
  const ctx = canvas.getContext('2d');
  const paths = columns.map((column) => {
    const path = new Path2D();
    const size = column.length / canvas.width;
    for (let x = 0; x < canvas.width; x += 1) {
      const part = column.subarray(Math.floor(x * size), Math.floor((x + 1) * size));
      path.lineTo(x, 187 - part.reduce((a, b) => Math.min(a, b)));
      path.lineTo(x, 187 - part.reduce((a, b) => Math.max(a, b)));
    }
    return path;
  });
  return timed(n, host, 'canvas', () => {
    if (!ctx) return;
    ctx.clearRect(0, 0, canvas.width, canvas.height);
    ctx.lineWidth = 2;
    for (const path of paths) ctx.stroke(path);
  });
}

export interface Redraws {
  /** The whole sheet, as several times a second. */
  readonly ours: Times;
  /** The end of the curves, as at every other frame. */
  readonly end: Times;
  readonly whole: Times;
  readonly bare: Times;
}

export async function redraws(rate_Hz: number, n: number): Promise<Redraws> {
  const columns = samples(rate_Hz);
  const drawn = await ours(rate_Hz, columns, n, 'whole');
  const end = await ours(rate_Hz, columns, n, 'end');
  const whole = await wholeSeries(rate_Hz, columns, n);
  const least = await bare(columns, n);
  document.body.replaceChildren();
  return { ours: drawn, end, whole, bare: least };
}

Object.assign(globalThis, { redraws });
