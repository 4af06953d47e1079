import { BlockCoefficients, firstPorts } from './block-coefficients.ts';
import type { CompiledBlock, CompiledCircuit } from './compiled-circuit.ts';
import { PortNewton } from './port-newton.ts';

/** Companion sources below this are flushed to zero: JavaScript has no flush-to-zero for subnormals. */
const FLUSH_BELOW = 1e-200;

/**
 * Advances one block sample by sample: port voltages by Newton, then the next companion sources, the
 * outputs and the currents taken from known nodes. Plain loops over the reduced matrices: the readable
 * reference for any faster path. Real-time safe but for the constructor.
 */
export class BlockSolver {
  readonly newton: PortNewton;
  /** Samples in which the block was put at rest because a number was not finite. */
  resets = 0;

  readonly #coefficients: BlockCoefficients;
  readonly #block: CompiledBlock;
  readonly #parameters: Float64Array;
  readonly #restVolts: Float64Array;
  readonly #restInductorA: Float64Array;
  readonly #ports: Int32Array;
  readonly #inputs: Int32Array;
  readonly #outputs: Int32Array;
  readonly #metered: Int32Array;
  /** [J, u, g]: see BlockCoefficients. */
  readonly #z: Float64Array;
  readonly #open: Float64Array;
  readonly #nextSources: Float64Array;
  readonly #previousSources: Float64Array;

  constructor(circuit: CompiledCircuit, block: CompiledBlock, parameters: Float64Array) {
    const knownCount = circuit.unitIndex + 1 + 2 * circuit.opamps.length;
    this.#block = block;
    this.#parameters = parameters;
    this.#restVolts = circuit.restVolts;
    this.#coefficients = new BlockCoefficients(block, knownCount, circuit.sampleRateHz);
    const supplies = block.devices.map(({ opampIndex }) => circuit.opamps[opampIndex] ?? { positive: 0, negative: 0 });
    this.newton = new PortNewton(block, parameters, circuit.sampleRateHz, supplies);
    this.#ports = Int32Array.from(firstPorts(block));
    this.#inputs = Int32Array.from(block.inputs);
    this.#outputs = Int32Array.from(block.outputs);
    this.#metered = Int32Array.from(block.meteredNodes);
    const { stateCount, portCount, width } = this.#coefficients;
    this.#z = new Float64Array(width);
    this.#open = new Float64Array(portCount);
    this.#nextSources = new Float64Array(stateCount);
    this.#previousSources = new Float64Array(stateCount);
    const restAmps = new Map(circuit.restInductorA.map(({ offset, amps }) => [offset, amps]));
    this.#restInductorA = Float64Array.from(block.states, ({ offsets }) => restAmps.get(offsets[0]!) ?? 0);
    this.#coefficients.derive(parameters);
    this.reset();
  }

  /** Puts the block at its rest state. */
  reset(): void {
    const { states, devices } = this.#block;
    const { stateSiemens } = this.#coefficients;
    for (let index = 0; index < states.length; index++) {
      const { a, b, inductive } = states[index]!;
      const companion = stateSiemens[index]! * (this.#restVolts[a]! - this.#restVolts[b]!);
      this.#setSources(index, companion, this.#restInductorA[index]!, inductive);
    }
    for (let index = 0; index < devices.length; index++) {
      const { ports, outputNode } = devices[index]!;
      for (let port = 0; port < ports.length; port++) {
        const { plus, minus } = ports[port]!;
        this.newton.resetPort(this.#ports[index]! + port, this.#restVolts[plus]! - this.#restVolts[minus]!);
      }
      if (outputNode >= 0) this.newton.resetOpamp(index, this.#restVolts[outputNode]!);
    }
  }

  /**
   * Derives the coefficients anew after a changed number. Voltages and currents of capacitors carry over,
   * not their companion sources, so that a changed capacitor does not thump.
   */
  update(): void {
    const { states } = this.#block;
    const { stateSiemens } = this.#coefficients;
    for (let index = 0; index < states.length; index++) {
      const sign = states[index]!.inductive ? -1 : 1;
      const siemens = stateSiemens[index]!;
      const source = sign * this.#z[index]!;
      const volts = siemens > 0 ? (source + this.#previousSources[index]!) / (2 * siemens) : 0;
      this.#nextSources[index] = volts;
      this.#previousSources[index] = source - siemens * volts;
    }
    this.#coefficients.derive(this.#parameters);
    for (let index = 0; index < states.length; index++) {
      const companion = stateSiemens[index]! * this.#nextSources[index]!;
      this.#setSources(index, companion, this.#previousSources[index]!, states[index]!.inductive);
    }
  }

  /** Companion sources from G_c·v and i: next ±(i + G_c·v), previous G_c·v − i. */
  #setSources(index: number, companion: number, amps: number, inductive: boolean): void {
    this.#z[index] = inductive ? -(amps + companion) : amps + companion;
    this.#previousSources[index] = companion - amps;
  }

  /**
   * One sample.
   *
   * @param known Voltages by node index, V. Read, and the block's own outputs written.
   * @param nodeCurrents Currents out of each node, A. Added to.
   * A sample that is not finite puts the block at rest and is counted; what it wrote is finite in any case.
   */
  solve(known: Float64Array, nodeCurrents: Float64Array): void {
    const { stateCount, inputCount, portCount, width, portRows, stateRows, outputRows, meterRows } = this.#coefficients;
    const z = this.#z;
    const firstPort = stateCount + inputCount;
    for (let index = 0; index < inputCount; index++) z[stateCount + index] = known[this.#inputs[index]!]!;
    if (portCount > 0) {
      this.newton.readSupplies(known);
      multiply(portRows, portCount, width, firstPort, z, this.#open);
      this.newton.solve(this.#open, portRows, width);
      for (let port = 0; port < portCount; port++) z[firstPort + port] = this.newton.currents[port]!;
    }
    multiply(stateRows, stateCount, width, width, z, this.#nextSources);
    if (!this.#isFinite()) {
      this.resets++;
      this.reset();
      this.#writeRest(known);
      return;
    }
    for (let row = 0; row < this.#outputs.length; row++) known[this.#outputs[row]!] = dot(outputRows, row * width, width, z);
    for (let row = 0; row < this.#metered.length; row++) {
      nodeCurrents[this.#metered[row]!]! += dot(meterRows, row * width, width, z);
    }
    this.#writeOpampOutputs(known);
    this.#advance();
  }

  #isFinite(): boolean {
    let sum = 0;
    for (let index = 0; index < this.#nextSources.length; index++) sum += this.#nextSources[index]!;
    for (let port = 0; port < this.#open.length; port++) sum += this.newton.currents[port]!;
    return sum - sum === 0;
  }

  #writeOpampOutputs(known: Float64Array): void {
    const { devices } = this.#block;
    for (let index = 0; index < devices.length; index++) {
      const out = devices[index]!.outputNode;
      if (out >= 0) known[out] = this.newton.currents[this.#ports[index]!]!;
    }
  }

  #writeRest(known: Float64Array): void {
    for (let row = 0; row < this.#outputs.length; row++) known[this.#outputs[row]!] = this.#restVolts[this.#outputs[row]!]!;
    const { devices } = this.#block;
    for (let index = 0; index < devices.length; index++) {
      const out = devices[index]!.outputNode;
      if (out >= 0) known[out] = this.#restVolts[out]!;
    }
  }

  #advance(): void {
    for (let index = 0; index < this.#nextSources.length; index++) {
      const next = this.#nextSources[index]!;
      this.#previousSources[index] = this.#z[index]!;
      this.#z[index] = next < FLUSH_BELOW && next > -FLUSH_BELOW ? 0 : next;
    }
    this.newton.advance();
  }
}

/** out = rows·z over the first `columns` columns. */
function multiply(
  rows: Float64Array,
  rowCount: number,
  width: number,
  columns: number,
  z: Float64Array,
  out: Float64Array,
): void {
  for (let row = 0; row < rowCount; row++) out[row] = dot(rows, row * width, columns, z);
}

function dot(rows: Float64Array, start: number, columns: number, z: Float64Array): number {
  let sum = 0;
  for (let column = 0; column < columns; column++) sum += rows[start + column]! * z[column]!;
  return sum;
}
