/**
 * One look at a block for all watchers: does any sample leave what every one of them calls quiet? Most
 * blocks do not, and a watcher that waits for nothing is then done without a look of its own.
 */
import type { Block, QuantityName } from '../block/block.ts';

/** What a watcher has nothing to say about: values in between, neighbours no further apart than `jump`. */
export interface Quiet {
  readonly least: number;
  readonly most: number;
  readonly jump: number;
}

export interface ColumnScan {
  readonly values: Float64Array;
  /** True when no value is missing and all of them are quiet for every watcher. */
  readonly isQuiet: boolean;
}

/** Lent until the next block. */
export interface Scan {
  readonly index: number;
  readonly n: number;
  /** The block does not follow on the one before. */
  readonly isBroken: boolean;
  /** Index after the last sample of the block before; -1 at the first block. */
  readonly expected: number;
  /** Null when the block has no such column. */
  column(name: QuantityName): ColumnScan | null;
}

/** Anything is quiet. */
export const ANY: Quiet = {
  least: Number.NEGATIVE_INFINITY,
  most: Number.POSITIVE_INFINITY,
  jump: Number.POSITIVE_INFINITY,
};

/** Nobody asks whether the column is quiet: it is only handed on, and never called quiet. */
export const UNREAD: Quiet = { ...ANY };

export function narrower(a: Quiet, b: Quiet): Quiet {
  return {
    least: Math.max(a.least, b.least),
    most: Math.min(a.most, b.most),
    jump: Math.min(a.jump, b.jump),
  };
}

/** A column's scan in place, so that a block costs no memory. */
class Column {
  readonly name: QuantityName;
  readonly quiet: Quiet;
  values: Float64Array = new Float64Array();
  isQuiet = false;
  isPresent = false;
  previous = Number.NaN;

  constructor(name: QuantityName, quiet: Quiet) {
    this.name = name;
    this.quiet = quiet;
  }

  /** The first sample after a break has no neighbour to jump from. */
  read(values: Float64Array, n: number, isBroken: boolean): void {
    this.values = values;
    if (this.quiet === UNREAD) return;
    const { least, most, jump } = this.quiet;
    let previous = isBroken ? values[0] : this.previous;
    let nLoud = 0;
    for (let i = 0; i < n; i += 1) {
      const value = values[i];
      const step = value - previous;
      previous = value;
      // A value that is not a number fails every one of these.
      if (!(value >= least && value <= most && step <= jump && step >= -jump)) nLoud += 1;
    }
    this.isQuiet = nLoud === 0;
    this.previous = previous;
  }
}

export interface Scanner {
  scan(block: Block): Scan;
}

export function createScanner(quiets: ReadonlyMap<QuantityName, Quiet>): Scanner {
  const columns = [...quiets].map(([name, quiet]) => new Column(name, quiet));
  const scan = {
    index: 0,
    n: 0,
    isBroken: false,
    expected: -1,
    column(name: QuantityName): ColumnScan | null {
      for (let k = 0; k < columns.length; k += 1) {
        if (columns[k].name === name) return columns[k].isPresent ? columns[k] : null;
      }
      return null;
    },
  };
  let isFirst = true;
  return {
    scan(block) {
      if (!isFirst) scan.expected = scan.index + scan.n;
      isFirst = false;
      scan.index = block.index;
      scan.n = block.n;
      scan.isBroken = block.afterGap || scan.expected !== block.index;
      for (let k = 0; k < columns.length; k += 1) {
        const column = columns[k];
        const values = block.columns.get(column.name);
        column.isPresent = values !== undefined;
        if (values !== undefined) column.read(values, block.n, scan.isBroken);
      }
      return scan;
    },
  };
}
