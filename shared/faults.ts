/**
 * Faults: expected trouble as data. The closed list of codes and the one sentence each shows a person.
 * A code without a text does not compile; `throw` stays for a programmer's error.
 */

export const FAULT_TEXTS = {
  sourceMissing: 'The data source cannot be opened. It is tried again by itself.',
  sourceLost: 'The data source closed. It is opened again by itself.',
  sourceSilent: 'The data source is open but sends nothing.',
  sourceUnreadable: 'Bytes arrive, but none of them can be read in the chosen format.',
  frameDamaged: 'A frame failed its check and was left out.',
  frameUnknown: 'Bytes that belong to no frame were left out.',
  samplesLost: 'Samples are missing from the stream. They are drawn as a gap.',
  samplesDuplicate: 'Samples came twice. The second copy was left out.',
  clockRestarted: "The device's clock started again. The length of the gap is an estimate.",
  rateChanged: 'The device changed its sample rate.',
  rateOff: 'The measured sample rate differs from the announced one.',
  channelsChanged: 'The device changed its channels.',
  headerContradiction: 'What the device announces and what it sends do not agree.',
  notANumber: 'A value that is not a number was received and kept as missing.',
  wiringMismatch: 'The wiring file does not fit the channels of this device.',
  diskWriteFailed: 'The recording cannot be written to the disk.',
  diskSlow: 'The disk is slower than the stream. Samples wait in memory.',
  diskFull: 'The disk is full. Samples wait in memory: make room, or end the recording now.',
  diskNearlyFull: 'The disk will be full within two hours of this recording.',
  clientSlow: 'A page cannot follow. It gets fewer, newer blocks.',
} as const satisfies Record<string, string>;

export type FaultCode = keyof typeof FAULT_TEXTS;

/** One trouble that happened. `at` is the index in the stream of the next sample, -1 before the first. */
export interface Fault {
  readonly code: FaultCode;
  readonly at: number;
  /** Specifics in words and numbers, at most 200 characters; may be empty. */
  readonly detail: string;
  /** How many times since the last report of this code (at least 1). */
  readonly count: number;
}
