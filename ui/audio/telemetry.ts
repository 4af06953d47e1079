import { LEVELS_START, TELEMETRY, TELEMETRY_LENGTH } from '../../worklets/bench-messages.ts';
import { sharedMemory } from './shared-memory.ts';

/** Last telemetry of the audio thread. */
export type Telemetry = Readonly<Record<keyof typeof TELEMETRY, number>>;

const NOT_MEASURED = {
  loudnessA: Number.NEGATIVE_INFINITY,
  loudnessB: Number.NEGATIVE_INFINITY,
  measuredSeconds: 0,
} as const;

const NAMES = Object.keys(TELEMETRY) as (keyof typeof TELEMETRY)[];

/** Where telemetry arrives: in shared memory if the page may have it, otherwise by messages. */
export class TelemetryInbox {
  readonly shared: SharedArrayBuffer | undefined;
  #values: Float32Array;

  constructor() {
    this.shared = sharedMemory(4 * TELEMETRY_LENGTH);
    this.#values = this.shared ? new Float32Array(this.shared) : new Float32Array(TELEMETRY_LENGTH);
  }

  receive(values: Float32Array): void {
    if (!this.shared) this.#values = values;
  }

  /** The audio thread has stopped: all levels are zero. */
  clear(): void {
    this.#values.fill(0);
  }

  /** Levels that were asked for: see LEVELS_START. Overwritten as they come. */
  readLevels(): Float32Array {
    return this.#values.subarray(LEVELS_START);
  }

  /**
   * @param measurement Number of the measurement of loudness that counts: a value of another measurement counts
   *   as none, with 0 seconds.
   */
  read(measurement: number): Telemetry {
    // The audio thread writes the number after the loudness, so here it is read first.
    const isCurrent = this.#values[TELEMETRY.measurement] === measurement;
    const told = Object.fromEntries(
      NAMES.map((name) => [name, this.#values[TELEMETRY[name]] ?? 0]),
    ) as Telemetry;
    return isCurrent ? told : { ...told, ...NOT_MEASURED };
  }
}
