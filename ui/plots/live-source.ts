import type { Slot, WatchedNets } from '../../worklets/bench-messages.ts';

/** Live data for plots. */
export interface LiveSource {
  readonly state: { readonly isRunning: boolean; readonly sampleRateHz: number };
  /** Whether scope frames are to come, and the net of each build that they show beside the probe's. */
  wantScope(isWanted: boolean, nets?: WatchedNets): void;
  /** The newest scope frame; undefined if none has come since the last one. Overwritten by the next. */
  readScope(): Float32Array | undefined;
  /** Nets of each build whose levels are wanted while the probe is on the output. */
  wantLevels(nets: Readonly<Record<Slot, readonly string[]>>): void;
  /** Levels of those nets, two numbers a net, A's before B's. Overwritten as they come. */
  readLevels(): Float32Array;
}
