/**
 * Turns samples of the ring into what is on the sheet: thinned curves, voids, the loop and the pen.
 * Takes each sample once; draws at most once a frame.
 */
import { Envelope, type Hole, POINTS_A_COLUMN } from './envelope.ts';
import { FreshCurves } from './fresh-curves.ts';
import { yOf, type RowName, type SheetGeometry } from './geometry.ts';
import type { Inks } from './inks.ts';
import { LoopPlot, type LoopSpan } from './loop.ts';
import { RowPlot, type Span, type Void } from './plot.ts';
import type { Ring } from './ring.ts';
import { isSameSheet, type SheetSpan } from './sheet.ts';

/**
 * The whole sheet is drawn anew this often, or when anything on it changes; between, only its end. Less
 * often than one frame in a hundred, so that the slowest hundredth of the frames is not this one.
 */
const SETTLE_S = 2;
/** A frame that comes late brings more than was due. */
const FRESH_S = 1.5 * SETTLE_S;
const ROWS = ['torque', 'angle', 'velocity'] as const satisfies readonly RowName[];

function columnOf(ring: Ring, row: RowName): number {
  if (row === 'torque') return ring.torqueColumn;
  return ring.columnOf(row === 'angle' ? 'angle_deg' : 'velocity_degps');
}

export interface Frame {
  readonly ring: Ring;
  readonly span: SheetSpan;
  readonly inks: Inks;
  readonly isOld: boolean;
  readonly silence_s: number;
  /** From the left edge of the sheet. */
  readonly excluded: readonly Span[];
  readonly loops: readonly LoopSpan[];
  /** Where the loop under way begins in the stream. */
  readonly loopFrom: number;
  /** Goes up when excluded repetitions, loops or inks changed. */
  readonly edition: number;
}

/** Where the pen is, in pixels of the sheet; NaN where there is no newest value. */
export interface Pen {
  readonly x: number;
  readonly y: Readonly<Record<RowName, number>>;
}

export class SheetDrawing {
  private readonly geometry: SheetGeometry;
  private readonly rows: RowPlot;
  private readonly loop: LoopPlot;
  private readonly fresh: FreshCurves;
  private envelopes: Readonly<Record<RowName, Envelope>> | null = null;
  private ring: Ring | null = null;
  private ringEdition = -1;
  private edition = -1;
  private span: SheetSpan | null = null;
  private wasOld = false;
  private voids: readonly Void[] = [];
  private nHoles = '';
  /** Points and samples that the whole sheet shows already, and the silence it showed. */
  private settled = { points: 0, samples: 0, silence_s: 0, holes: '' };

  constructor(
    hosts: { readonly rows: HTMLElement; readonly loop: HTMLCanvasElement },
    geometry: SheetGeometry,
    sheet_s: number,
    inks: Inks,
  ) {
    this.geometry = geometry;
    const look = { inks, isGrey: false, excluded: [], voids: [] };
    this.rows = new RowPlot(hosts.rows, geometry, { from_s: 0, to_s: sheet_s }, look);
    this.fresh = new FreshCurves(hosts.rows, geometry, sheet_s, FRESH_S);
    this.loop = new LoopPlot(hosts.loop, geometry, window.devicePixelRatio);
  }

  destroy(): void {
    this.rows.destroy();
    this.fresh.destroy();
  }

  /** Draws what is new and says where the pen is; null before the first sample of the sheet. */
  draw(frame: Frame): Pen | null {
    const { ring, span } = frame;
    const isNewSheet = this.isNewSheet(frame);
    if (isNewSheet) this.begin(frame);
    if (isNewSheet || frame.edition !== this.edition) {
      this.loop.turn(ring, frame.loops, Math.max(frame.loopFrom, span.first));
    }
    const envelopes = this.envelopes;
    if (!envelopes) return null;
    const nTaken = this.take(ring, span, envelopes);
    const isOther = isNewSheet || frame.edition !== this.edition || frame.isOld !== this.wasOld;
    this.edition = frame.edition;
    this.wasOld = frame.isOld;
    if (isOther || nTaken > 0 || frame.isOld) this.paint(frame, envelopes, isOther);
    return this.pen(ring, span, envelopes.torque.nSamples);
  }

  private isNewSheet({ ring, span }: Frame): boolean {
    const isSame = this.span !== null && isSameSheet(this.span, span);
    return !isSame || ring !== this.ring || ring.edition !== this.ringEdition;
  }

  private begin({ ring, span }: Frame): void {
    const { time } = this.geometry;
    const width = (time.right - time.left) * window.devicePixelRatio;
    const size = { length: span.length, rate_Hz: ring.rate_Hz, width };
    this.envelopes = {
      torque: new Envelope(size),
      angle: new Envelope(size),
      velocity: new Envelope(size),
    };
    this.ring = ring;
    this.ringEdition = ring.edition;
    this.span = span;
  }

  private take(
    ring: Ring,
    span: SheetSpan,
    envelopes: Readonly<Record<RowName, Envelope>>,
  ): number {
    const end = Math.min(ring.end, span.end ?? ring.end, span.first + span.length);
    const first = span.first + envelopes.torque.nSamples;
    for (const name of ROWS) {
      const column = columnOf(ring, name);
      const envelope = envelopes[name];
      for (let i = first; i < end; i += 1) {
        if (column < 0 || i < ring.begin) envelope.skip();
        else envelope.push(ring.at(column, i));
      }
    }
    return Math.max(0, end - first);
  }

  private paint(
    frame: Frame,
    envelopes: Readonly<Record<RowName, Envelope>>,
    isOther: boolean,
  ): void {
    const { ring, span, inks, isOld, silence_s } = frame;
    const voids = this.voidsOf(frame, envelopes);
    const { torque, angle, velocity } = envelopes;
    const { nPoints, nSamples } = torque;
    const curves = {
      x_s: torque.x_s.subarray(0, nPoints),
      torque: torque.y.subarray(0, nPoints),
      angle: angle.y.subarray(0, nPoints),
      velocity: velocity.y.subarray(0, nPoints),
    };
    const { settled } = this;
    const isDue =
      isOther ||
      nSamples - settled.samples >= SETTLE_S * ring.rate_Hz ||
      silence_s !== (isOld ? settled.silence_s : silence_s) ||
      this.nHoles !== settled.holes;
    if (isDue) {
      this.rows.draw(curves, { inks, isGrey: isOld, excluded: frame.excluded, voids });
      this.fresh.clear();
      // The last column may still grow: it is drawn again from its beginning.
      const points = Math.max(0, nPoints - POINTS_A_COLUMN);
      this.settled = { points, samples: nSamples, silence_s, holes: this.nHoles };
    } else if (!isOld) this.fresh.draw(curves, settled.points, inks);
    this.loop.draw(ring, inks, isOld, Math.min(ring.end, span.end ?? ring.end));
  }

  private voidsOf(frame: Frame, envelopes: Readonly<Record<RowName, Envelope>>): readonly Void[] {
    const { ring, span, isOld, silence_s } = frame;
    const key = ROWS.map((name) => {
      const { holes } = envelopes[name];
      return `${holes.length}:${holes.at(-1)?.end ?? 0}`;
    }).join();
    if (key !== this.nHoles || ring.unseen.length > 0) {
      this.voids = past(envelopes, ring, span);
      this.nHoles = key;
    }
    const at_s = envelopes.torque.nSamples / ring.rate_Hz;
    const unseen: readonly Void[] =
      ring.begin > span.first
        ? [{ kind: 'unseen', from_s: 0, to_s: (ring.begin - span.first) / ring.rate_Hz }]
        : [];
    const growing: readonly Void[] =
      isOld && span.end === null ? [{ kind: 'growing', from_s: at_s, to_s: at_s + silence_s }] : [];
    return [...unseen, ...this.voids, ...growing];
  }

  private pen(ring: Ring, span: SheetSpan, nSamples: number): Pen | null {
    if (nSamples === 0) return null;
    const { time, rows } = this.geometry;
    const y = (name: RowName) =>
      yOf(rows[name], ring.at(columnOf(ring, name), span.first + nSamples - 1));
    return {
      x: time.left + ((time.right - time.left) * nSamples) / span.length,
      y: { torque: y('torque'), angle: y('angle'), velocity: y('velocity') },
    };
  }
}

/** Holes of all three rows at once are one void through the whole sheet. */
function past(
  envelopes: Readonly<Record<RowName, Envelope>>,
  ring: Ring,
  span: SheetSpan,
): readonly Void[] {
  const has = (holes: readonly Hole[], { first, end }: Hole) =>
    holes.some((hole) => hole.first === first && hole.end === end);
  const present = ROWS.filter((name) => columnOf(ring, name) >= 0);
  const [lead] = present;
  return present.flatMap((name) =>
    envelopes[name].holes.flatMap((hole): Void[] => {
      const isWhole = present.every((other) => has(envelopes[other].holes, hole));
      if (isWhole && name !== lead) return [];
      const kind = isUnseen(hole, ring, span) ? 'unseen' : 'lost';
      const from_s = hole.first / ring.rate_Hz;
      const to_s = hole.end / ring.rate_Hz;
      return [{ kind, from_s, to_s, ...(isWhole ? {} : { row: name }) }];
    }),
  );
}

function isUnseen(hole: Hole, ring: Ring, span: SheetSpan): boolean {
  const middle = span.first + (hole.first + hole.end) / 2;
  return ring.unseen.some(({ from, to }) => middle >= from && middle < to);
}
