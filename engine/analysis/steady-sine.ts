import type { NodeName } from '../devices/node.ts';
import type { Network } from '../network/network.ts';
import { CircuitSimulator } from '../solver/circuit-simulator.ts';
import { compileCircuit } from '../solver/compile.ts';

export interface SineTest {
  readonly hz: number;
  /** Peak of the sine at the input, V. */
  readonly peakV: number;
}

/** The default: a tone in the guitar's range at the level of a strummed pickup. */
export const USUAL_TEST: SineTest = { hz: 440, peakV: 0.2 };

/** One period of a steady sine, at the input and at every requested net. */
export interface SteadySine extends SineTest {
  /** Samples of the period. */
  readonly inputV: Float64Array;
  /** Volts against ground by net, bias included, in step with the input. */
  readonly volts: ReadonlyMap<NodeName, Float64Array>;
  /** Volts of each of those nets at the operating point. */
  readonly restV: ReadonlyMap<NodeName, number>;
  /** False if the bias was still moving at the time limit: the result is then a snapshot. */
  readonly isSettled: boolean;
  /** Samples in which the solver did not converge, in all. */
  readonly failures: number;
}

/** Least rate of the solver: eight times 48 kHz. */
const MIN_RATE_HZ = 384_000;
/** Least samples of a period, for a smooth curve at high frequencies. */
const MIN_PERIOD_SAMPLES = 96;
/** A long period is a multiple of this, so that it can be reduced evenly. */
const PERIOD_UNIT = 400;
/** Interval for the check of settling. */
const WINDOW_SECONDS = 0.05;
const MIN_WINDOWS = 3;
const MAX_WINDOWS = 60;
/** Settled when no voltage moves by more than this from window to window, V and as a share of the largest. */
const SETTLED_V = 2e-5;
const SETTLED_SHARE = 2e-5;

/** One run of {@link SineDrive}. */
export function steadySine(network: Network, { hz, peakV }: SineTest, nets: readonly NodeName[]): SteadySine {
  return new SineDrive(network, hz, nets).at(peakV);
}

/**
 * A network driven by a sine until it repeats itself, from the operating point at each level. The rate is a whole multiple of the
 * frequency, so that one period is a whole number of samples, and a multiple of four: no window, no leakage, and no
 * resampling filter between solver and result.
 */
export class SineDrive {
  readonly #hz: number;
  readonly #nets: readonly NodeName[];
  readonly #periodSamples: number;
  readonly #simulator: CircuitSimulator;

  /**
   * @param nets Nets to record; each has to carry current. @throws RangeError for another net or a frequency that is
   * not positive; NetworkError, OperatingPointError.
   */
  constructor(network: Network, hz: number, nets: readonly NodeName[]) {
    if (!(hz > 0)) throw new RangeError(`a test sine needs a frequency, not ${hz} Hz`);
    this.#hz = hz;
    this.#nets = nets;
    this.#periodSamples = periodSamples(hz);
    const sampleRateHz = hz * this.#periodSamples;
    this.#simulator = new CircuitSimulator(compileCircuit(network, { sampleRateHz, observed: nets }));
  }

  /** @param peakV Peak of the sine at the input. @throws RangeError for one that is not positive. */
  at(peakV: number): SteadySine {
    if (!(peakV > 0)) throw new RangeError(`a test sine needs a level, not ${peakV} V`);
    const simulator = this.#simulator;
    const hz = this.#hz;
    const length = this.#periodSamples;
    const inputV = Float64Array.from({ length }, (_, n) => peakV * Math.sin((2 * Math.PI * n) / length));
    const before = simulator.failures;
    simulator.reset();
    const isSettled = settle(simulator, inputV, Math.max(1, Math.round(WINDOW_SECONDS * hz)));
    const restV = (net: NodeName) => simulator.restVoltage(simulator.circuit.nodeNames.indexOf(net));
    return {
      hz,
      peakV,
      inputV,
      isSettled,
      volts: recordPeriod(simulator, inputV, this.#nets),
      restV: new Map(this.#nets.map((net) => [net, restV(net)])),
      failures: simulator.failures - before,
    };
  }
}

function periodSamples(hz: number): number {
  const least = Math.max(MIN_PERIOD_SAMPLES, MIN_RATE_HZ / hz);
  const unit = least < PERIOD_UNIT ? 4 : PERIOD_UNIT;
  return unit * Math.ceil(least / unit);
}

/** Plays whole periods until the voltages at their end no longer change. */
function settle(simulator: CircuitSimulator, period: Float64Array, periodsPerWindow: number): boolean {
  const { known } = simulator.memory;
  const { unitIndex } = simulator.circuit;
  const output = new Float64Array(period.length);
  let before = known.slice(0, unitIndex);
  for (let window = 1; window <= MAX_WINDOWS; window++) {
    for (let count = 0; count < periodsPerWindow; count++) simulator.process(period, output, period.length);
    const now = known.slice(0, unitIndex);
    const moved = now.reduce((most, volts, node) => Math.max(most, Math.abs(volts - before[node]!)), 0);
    const largest = now.reduce((most, volts) => Math.max(most, Math.abs(volts)), 0);
    if (window >= MIN_WINDOWS && moved < SETTLED_V + SETTLED_SHARE * largest) return true;
    before = now;
  }
  return false;
}

function recordPeriod(
  simulator: CircuitSimulator,
  inputV: Float64Array,
  nets: readonly NodeName[],
): ReadonlyMap<NodeName, Float64Array> {
  const records = nets.map((net) => ({
    net,
    node: simulator.circuit.nodeNames.indexOf(net),
    volts: new Float64Array(inputV.length),
  }));
  const sample = new Float64Array(1);
  for (let n = 0; n < inputV.length; n++) {
    sample[0] = inputV[n]!;
    simulator.process(sample, sample, 1);
    for (const { node, volts } of records) volts[n] = simulator.voltage(node);
  }
  return new Map(records.map(({ net, volts }) => [net, volts]));
}
