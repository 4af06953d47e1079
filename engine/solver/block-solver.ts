import { BlockCoefficients } from './block-coefficients.ts';
import { type BlockMemory, COUNTER, firstPorts } from './block-memory.ts';
import type { CompiledBlock, CompiledCircuit } from './compiled-circuit.ts';
import { deriveDeviceConstants } from './device-constants.ts';
import { PortNewton } from './port-newton.ts';

/**
 * Companion sources below this are flushed to zero, since neither JavaScript nor WebAssembly does so with subnormals:
 * small enough for nothing, large enough that what halves with every sample gets there within a chunk of 512.
 */
const FLUSH_BELOW = 1e-150;
/**
 * The sum of a block's companion sources (A) and port currents is a fault beyond this as if it were not finite: no
 * voltage of a circuit leads there (1 F at 36 V and 3 MHz gives 4e8), and what does would take seconds to decay.
 */
export const FAULT_ABOVE = 1e12;

/**
 * One block: its rest state, its changing values, and a sample of it in plain loops over the reduced matrices,
 * the readable reference for emitted code. Real-time safe but for the constructor.
 */
export class BlockSolver {
  readonly memory: BlockMemory;
  /** Voltage of the probed node in the sample before, V, in its one entry; 0 where the block does not have it. */
  readonly probedVolts = new Float64Array(1);
  readonly #coefficients: BlockCoefficients;
  readonly #newton: PortNewton;
  readonly #block: CompiledBlock;
  readonly #parameters: Float64Array;
  readonly #sampleRateHz: number;
  readonly #restVolts: Float64Array;
  readonly #restInductorA: Float64Array;
  readonly #ports: Int32Array;
  readonly #inputs: Int32Array;
  readonly #outputs: Int32Array;
  readonly #metered: Int32Array;

  constructor(circuit: CompiledCircuit, block: CompiledBlock, memory: BlockMemory, parameters: Float64Array) {
    const knownCount = circuit.unitIndex + 1 + 2 * circuit.opamps.length;
    this.memory = memory;
    this.#block = block;
    this.#parameters = parameters;
    this.#restVolts = circuit.restVolts;
    this.#coefficients = new BlockCoefficients(block, memory, knownCount, circuit.sampleRateHz);
    const supplies = block.devices.map(
      ({ opampIndex }) => circuit.opamps[opampIndex] ?? { positive: 0, negative: 0 },
    );
    this.#newton = new PortNewton(block, memory, parameters, circuit.sampleRateHz, supplies);
    this.#ports = Int32Array.from(firstPorts(block));
    this.#inputs = Int32Array.from(block.inputs);
    this.#outputs = Int32Array.from(block.outputs);
    this.#metered = Int32Array.from(block.meteredNodes);
    const restAmps = new Map(circuit.restInductorA.map(({ offset, amps }) => [offset, amps]));
    this.#restInductorA = Float64Array.from(block.states, ({ offsets }) => restAmps.get(offsets[0]!) ?? 0);
    this.#coefficients.derive(parameters);
    this.#sampleRateHz = circuit.sampleRateHz;
    this.deriveDevices();
    this.reset();
  }

  /** Chooses the node that is probed: one that the block solves or reads, else ground. Real-time safe. */
  probe(node: number): void {
    this.#coefficients.probe(node);
    this.#coefficients.derive(this.#parameters);
  }

  /** Derives what emitted code needs of the devices' numbers, which unlike the coefficients are cheap. */
  deriveDevices(): void {
    deriveDeviceConstants(this.#block, this.#parameters, this.#sampleRateHz, this.memory.deviceConstants);
  }

  /** Puts the block at its rest state. */
  reset(): void {
    const { states, devices } = this.#block;
    const { voltages, lastVoltages, opampOutputs, previousSources, nextSources } = this.memory;
    const { stateSiemens } = this.#coefficients;
    const rest = this.#restVolts;
    for (let index = 0; index < states.length; index++) {
      const { a, b, inductive } = states[index]!;
      nextSources[index] = stateSiemens[index]! * (rest[a]! - rest[b]!);
      previousSources[index] = this.#restInductorA[index]!;
      this.#setSources(index, inductive);
    }
    for (let index = 0; index < devices.length; index++) {
      const { ports, outputNode } = devices[index]!;
      for (let port = 0; port < ports.length; port++) {
        const { plus, minus } = ports[port]!;
        const volts = rest[plus]! - rest[minus]!;
        voltages[this.#ports[index]! + port] = volts;
        lastVoltages[this.#ports[index]! + port] = volts;
      }
      if (outputNode < 0) continue;
      opampOutputs[2 * index] = rest[outputNode]!;
      opampOutputs[2 * index + 1] = rest[outputNode]!;
    }
  }

  /** Puts the block at rest after a sample that was not finite, its outputs included, and counts it. */
  recover(known: Float64Array): void {
    this.memory.counters[COUNTER.resets]! += 1;
    this.reset();
    const { devices } = this.#block;
    for (let row = 0; row < this.#outputs.length; row++) {
      known[this.#outputs[row]!] = this.#restVolts[this.#outputs[row]!]!;
    }
    for (let index = 0; index < devices.length; index++) {
      const out = devices[index]!.outputNode;
      if (out >= 0) known[out] = this.#restVolts[out]!;
    }
  }

  /**
   * Derives the coefficients anew after a changed number. Voltages and currents of capacitors carry over,
   * not their companion sources, so that a changed capacitor does not thump.
   */
  update(): void {
    const { states } = this.#block;
    const { z, previousSources, nextSources } = this.memory;
    const { stateSiemens } = this.#coefficients;
    for (let index = 0; index < states.length; index++) {
      const siemens = stateSiemens[index]!;
      const source = states[index]!.inductive ? -z[index]! : z[index]!;
      const volts = siemens > 0 ? (source + previousSources[index]!) / (2 * siemens) : 0;
      nextSources[index] = volts;
      previousSources[index] = source - siemens * volts;
    }
    this.#coefficients.derive(this.#parameters);
    for (let index = 0; index < states.length; index++) {
      nextSources[index]! *= stateSiemens[index]!;
      this.#setSources(index, states[index]!.inductive);
    }
  }

  /**
   * Companion sources from G_c·v, which stands in nextSources, and i, which stands in previousSources: next
   * ±(i + G_c·v), previous G_c·v − i. Numbers in arrays, since V8 allocates doubles that it passes.
   */
  #setSources(index: number, inductive: boolean): void {
    const { z, previousSources, nextSources } = this.memory;
    const companion = nextSources[index]!;
    const amps = previousSources[index]!;
    z[index] = inductive ? -(amps + companion) : amps + companion;
    previousSources[index] = companion - amps;
  }

  /**
   * One sample.
   *
   * @param known Voltages by node index, V. Read, and the block's own outputs written.
   * @param nodeCurrents Currents out of each node, A. Added to.
   * @returns False where a number was not finite or beyond all measure; nothing but z is changed then, and `recover` is due.
   */
  solve(known: Float64Array, nodeCurrents: Float64Array): boolean {
    const { stateCount, inputCount, portCount, width, z, stateRows, outputRows, meterRows, nextSources } =
      this.memory;
    for (let index = 0; index < inputCount; index++) z[stateCount + index] = known[this.#inputs[index]!]!;
    if (portCount > 0) this.#newton.solve(known);
    let sum = 0;
    for (let index = 0; index < stateCount; index++) {
      nextSources[index] = dot(stateRows, index * width, width, z);
      sum += nextSources[index]!;
    }
    for (let column = stateCount + inputCount; column < width; column++) sum += z[column]!;
    if (!(sum < FAULT_ABOVE && sum > -FAULT_ABOVE)) return false;
    for (let row = 0; row < this.#outputs.length; row++) {
      known[this.#outputs[row]!] = dot(outputRows, row * width, width, z);
    }
    for (let row = 0; row < this.#metered.length; row++) {
      nodeCurrents[this.#metered[row]!]! += dot(meterRows, row * width, width, z);
    }
    this.probedVolts[0] = dot(this.memory.probeRow, 0, width, z);
    this.#advance(known);
    return true;
  }

  /** Sets companion sources to zero that are on their way to subnormal numbers; to be called once a chunk. */
  flush(): void {
    const { stateCount, z } = this.memory;
    for (let index = 0; index < stateCount; index++) {
      if (z[index]! < FLUSH_BELOW && z[index]! > -FLUSH_BELOW) z[index] = 0;
    }
  }

  #advance(known: Float64Array): void {
    const { stateCount, inputCount, z, previousSources, nextSources } = this.memory;
    const { devices } = this.#block;
    for (let index = 0; index < devices.length; index++) {
      const out = devices[index]!.outputNode;
      if (out >= 0) known[out] = z[stateCount + inputCount + this.#ports[index]!]!;
    }
    this.#newton.advance();
    for (let index = 0; index < stateCount; index++) {
      previousSources[index] = z[index]!;
      z[index] = nextSources[index]!;
    }
  }
}

function dot(rows: Float64Array, start: number, columns: number, z: Float64Array): number {
  let sum = 0;
  for (let column = 0; column < columns; column++) sum += rows[start + column]! * z[column]!;
  return sum;
}
