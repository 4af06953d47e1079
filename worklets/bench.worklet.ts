import { BenchEngine } from './bench-engine.ts';
import {
  type BenchOptions,
  type FromProcessor,
  PROCESSOR_NAME,
  SCOPE_HEADER_BYTES,
  TELEMETRY,
  TELEMETRY_LENGTH,
  type ToProcessor,
} from './bench-messages.ts';
import { SCOPE_LENGTH } from './scope-recorder.ts';

/** Telemetry messages a second, about. */
const REPORTS_PER_SECOND = 30;
/** The clock has steps of a millisecond here; over this time its mean is accurate enough. */
const LOAD_SECONDS = 1;

/** The bench's audio processor: moves samples and messages. */
class BenchProcessor extends AudioWorkletProcessor {
  readonly #engine: BenchEngine;
  readonly #sampleRateHz: number;
  readonly #telemetry: Float32Array;
  readonly #isShared: boolean;
  readonly #report: FromProcessor;
  readonly #scope: Float32Array;
  /** Header of shared scope samples. */
  readonly #scopeHeader: Int32Array | undefined;
  readonly #scopeReport: FromProcessor;
  /** Frames since the last report, frames and milliseconds of the load's measurement. */
  readonly #clock = new Float64Array(3);

  constructor({ processorOptions: benchOptions }: { processorOptions: BenchOptions }) {
    super();
    this.#engine = new BenchEngine(benchOptions, (message) => this.port.postMessage(message));
    this.#sampleRateHz = benchOptions.sampleRateHz;
    this.#isShared = benchOptions.telemetry !== undefined;
    this.#telemetry = benchOptions.telemetry
      ? new Float32Array(benchOptions.telemetry)
      : new Float32Array(TELEMETRY_LENGTH);
    this.#report = { type: 'telemetry', values: this.#telemetry };
    const { scope } = benchOptions;
    this.#scope = scope ? new Float32Array(scope, SCOPE_HEADER_BYTES) : new Float32Array(SCOPE_LENGTH);
    this.#scopeHeader = scope && new Int32Array(scope, 0, 1);
    // An earlier processor may have been stopped while writing.
    if (this.#scopeHeader && Atomics.load(this.#scopeHeader, 0) % 2 !== 0)
      Atomics.add(this.#scopeHeader, 0, 1);
    this.#scopeReport = { type: 'scope', values: this.#scope };
    this.port.onmessage = ({ data }: MessageEvent<ToProcessor>) => {
      this.#engine.receive(data);
    };
  }

  process(inputs: Float32Array[][], outputs: Float32Array[][]): boolean {
    const output = outputs[0]?.[0];
    if (output === undefined) return true;
    const start = Date.now();
    this.#engine.process(inputs[0]?.[0], output);
    this.#tell(output.length, Date.now() - start);
    return true;
  }

  #tell(frames: number, milliseconds: number): void {
    const clock = this.#clock;
    clock[0]! += frames;
    clock[1]! += frames;
    clock[2]! += milliseconds;
    if (clock[1]! >= LOAD_SECONDS * this.#sampleRateHz) {
      this.#telemetry[TELEMETRY.load] = (clock[2]! * this.#sampleRateHz) / (1000 * clock[1]!);
      clock[1] = 0;
      clock[2] = 0;
    }
    if (clock[0]! < this.#sampleRateHz / REPORTS_PER_SECOND) return;
    this.#engine.readTelemetry(this.#telemetry, clock[0]!);
    clock[0] = 0;
    if (!this.#isShared) this.port.postMessage(this.#report);
    if (this.#engine.isScopeWanted) this.#tellScope();
  }

  #tellScope(): void {
    if (this.#scopeHeader) Atomics.add(this.#scopeHeader, 0, 1);
    this.#engine.readScope(this.#scope);
    if (this.#scopeHeader) Atomics.add(this.#scopeHeader, 0, 1);
    else this.port.postMessage(this.#scopeReport);
  }
}

registerProcessor(PROCESSOR_NAME, BenchProcessor);
