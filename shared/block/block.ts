/**
 * The unit of flow: a block is a run of consecutive samples, one typed array per column.
 * A block never contains a hole: a jump in `first` between two blocks of a run is the hole.
 */

/** How one channel arrives from the device, before any wiring. */
export interface ChannelFormat {
  /** The device's own name for it, e.g. `ai0` or `torque_Nm`. Unique in a format. */
  readonly name: string;
  /** Unit of the raw values: `V`, `counts`, `Nm`, `deg`, ...; empty when the device does not say. */
  readonly unit: string;
  /** The device's own number type; the journal stores this one, bit for bit. */
  readonly type: SampleType;
  /** The device's own scale, when it announces one; `unit` is then that of the raw values, `counts`. */
  readonly scale?: ChannelScale;
  /** Largest raw values that can occur (ends of the converter), when the device says so. */
  readonly rawMin?: number;
  readonly rawMax?: number;
}

/** Value in `unit` = slope * raw + offset. */
export interface ChannelScale {
  readonly unit: string;
  readonly slope: number;
  readonly offset: number;
}

export type SampleType = 'int16' | 'int24' | 'float32' | 'float64';

/** What a device announces (or a decoder found out). A changed format is a new object. */
export interface StreamFormat {
  /** Nominal samples a second per channel. */
  readonly rate_Hz: number;
  readonly channels: readonly ChannelFormat[];
  /** How much the framing protects: what a misread would take (reliability class of the input). */
  readonly integrity: 'crc32' | 'text';
  /** `# key: value` comments and other things the device said of itself. */
  readonly notes: Readonly<Record<string, string>>;
}

/** Samples as decoded: the device's clock, raw numbers, holes as jumps of `first`. */
export interface RawBlock {
  readonly format: StreamFormat;
  /** Counts the restarts of the device's clock, from 0. */
  readonly run: number;
  /** Index of the first sample, counted by the device within this run (wrap-around undone). */
  readonly first: number;
  readonly n: number;
  /** One column per channel, each of length n; NaN where the device sent no number. */
  readonly columns: readonly Float64Array[];
}

/** A raw block placed on the stream's own, never decreasing index. This is what is recorded. */
export interface StreamBlock extends RawBlock {
  /** Index of the first sample in the stream: goes on over restarts of the device and reconnects. */
  readonly index: number;
  /** Monotonic host time of arrival of the block's last byte, in nanoseconds. Not a sample clock. */
  readonly arrival_ns: number;
}

/** Names of the columns that the live pipeline computes; NaN means no sample. */
export type QuantityName = 'torque_Nm' | 'angle_deg' | 'velocity_degps' | (string & {});

/** Calibrated samples: torque in Nm, angle in degrees, velocity in degrees a second, and others by name. */
export interface Block {
  readonly rate_Hz: number;
  /** Index of the first sample in the stream. Time in seconds is `index / rate_Hz`. */
  readonly index: number;
  readonly n: number;
  /** True when samples are missing before this block; stages then start anew. */
  readonly afterGap: boolean;
  readonly columns: ReadonlyMap<QuantityName, Float64Array>;
}
