/** Decoded audio in full-scale units: ±1 is the largest value that integer samples of the file can hold. */
export interface Recording {
  readonly sampleRateHz: number;
  /** One array a channel, all of one length. */
  readonly channels: readonly Float64Array[];
}
