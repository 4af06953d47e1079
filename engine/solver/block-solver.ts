import { pastOf } from './backward-difference.ts';
import { BlockCoefficients } from './block-coefficients.ts';
import { type BlockMemory, COUNTER, firstPorts } from './block-memory.ts';
import type { CircuitMemory } from './circuit-memory.ts';
import { type CompiledBlock, type CompiledCircuit, DEVICE } from './compiled-circuit.ts';
import { deriveDeviceConstants } from './device-constants.ts';
import { DIODE } from './parameters.ts';
import { FAULT_ABOVE, PortNewton } from './port-newton.ts';
import { RowRamp } from './row-ramp.ts';

/**
 * States below this are flushed to zero, since neither JavaScript nor WebAssembly does so with subnormals:
 * small enough for nothing, large enough that what halves with every sample gets there within a chunk of 512.
 */
const FLUSH_BELOW = 1e-150;

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
  readonly #ramp: RowRamp;
  readonly #block: CompiledBlock;
  readonly #parameters: Float64Array;
  readonly #stepRateHz: number;
  readonly #restVolts: Float64Array;
  readonly #restInductorA: Float64Array;
  readonly #ports: Int32Array;
  readonly #inputs: Int32Array;
  readonly #outputs: Int32Array;
  readonly #metered: Int32Array;

  /** `reset` is due before the first sample. */
  constructor(circuit: CompiledCircuit, index: number, { blocks, parameters }: CircuitMemory) {
    const knownCount = circuit.unitIndex + 1 + 2 * circuit.opamps.length;
    const block = circuit.blocks[index]!;
    const memory = blocks[index]!;
    const stepRateHz = circuit.sampleRateHz * block.substeps;
    this.memory = memory;
    this.#block = block;
    this.#parameters = parameters;
    this.#restVolts = circuit.restVolts;
    this.#coefficients = new BlockCoefficients(block, memory, knownCount, stepRateHz);
    this.#ramp = new RowRamp(memory);
    const supplies = block.devices.map(
      ({ opampIndex }) =>
        circuit.opamps[opampIndex] ?? { plus: 0, positive: 0, negative: 0, isRanged: false },
    );
    this.#newton = new PortNewton(block, memory, parameters, stepRateHz, supplies);
    this.#ports = Int32Array.from(firstPorts(block));
    this.#inputs = Int32Array.from(block.inputs);
    this.#outputs = Int32Array.from(block.outputs);
    this.#metered = Int32Array.from(block.meteredNodes);
    const restAmps = new Map(circuit.restInductorA.map(({ offset, amps }) => [offset, amps]));
    this.#restInductorA = Float64Array.from(block.states, ({ offsets }) => restAmps.get(offsets[0]!) ?? 0);
    this.#coefficients.derive(parameters);
    this.#stepRateHz = stepRateHz;
    this.deriveDevices();
  }

  /** Chooses the node that is probed: one that the block solves or reads, else ground. Real-time safe. */
  probe(node: number): void {
    this.#coefficients.probe(node);
    this.#ramp.holdProbe();
  }

  /** Derives what emitted code needs of the devices' numbers, which unlike the coefficients are cheap. */
  deriveDevices(): void {
    deriveDeviceConstants(this.#block, this.#parameters, this.#stepRateHz, this.memory.deviceConstants);
  }

  /** Puts the block at its rest state. */
  reset(): void {
    const { states, devices } = this.#block;
    const { voltages, lastVoltages, earlierVoltages, opampHistory, stateHistory } = this.memory;
    const rest = this.#restVolts;
    for (let index = 0; index < states.length; index++) {
      const { a, b, inductive } = states[index]!;
      const value = inductive ? this.#restInductorA[index]! : rest[a]! - rest[b]!;
      for (let past = 0; past < 3; past++) stateHistory[3 * index + past] = value;
    }
    for (let index = 0; index < devices.length; index++) {
      const { code, offset, ports, outputNode } = devices[index]!;
      for (let port = 0; port < ports.length; port++) {
        const { plus, minus } = ports[port]!;
        let volts = rest[plus]! - rest[minus]!;
        // Newton starts here: what stands across the series resistance is not the junction's.
        if (code === DEVICE.diode && volts > 0) {
          volts = Math.min(volts, highestJunctionV(this.#parameters, offset, volts));
        }
        voltages[this.#ports[index]! + port] = volts;
        lastVoltages[this.#ports[index]! + port] = volts;
        earlierVoltages[this.#ports[index]! + port] = volts;
      }
      if (outputNode < 0) continue;
      for (let past = 0; past < 3; past++) opampHistory[3 * index + past] = rest[outputNode]!;
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
   * Derives the coefficients anew after a changed number. Voltages of capacitors and currents of inductors carry
   * over, so that nothing thumps.
   *
   * @param rampSteps Calls of `advanceRamp` that take the rows there; 0 sets them at once.
   */
  update(rampSteps: number): void {
    this.#ramp.leave();
    this.#coefficients.derive(this.#parameters);
    if (rampSteps > 0) this.#ramp.aim(rampSteps);
    else this.#ramp.stop();
  }

  /** Whether the rows are still on their way. */
  get isRamping(): boolean {
    return this.#ramp.isUnderWay;
  }

  /** Takes the rows a step further where they are on their way. */
  advanceRamp(): void {
    this.#ramp.advance();
  }

  /**
   * One sample.
   *
   * @param known Voltages by node index, V. Read, and the block's own outputs written.
   * @param nodeCurrents Currents out of each node, A. Added to.
   * @returns False where a number was not finite or beyond all measure; no state is changed then, and `recover` is due.
   */
  solve(known: Float64Array, nodeCurrents: Float64Array): boolean {
    const { stateCount, inputCount, portCount, width, z, stateRows, outputRows, meterRows } = this.memory;
    const { stateHistory, nextStates } = this.memory;
    for (let index = 0; index < stateCount; index++) z[index] = pastOf(stateHistory, 3 * index);
    for (let index = 0; index < inputCount; index++) z[stateCount + index] = known[this.#inputs[index]!]!;
    if (portCount > 0) this.#newton.solve(known);
    let sum = 0;
    for (let index = 0; index < stateCount; index++) {
      nextStates[index] = dot(stateRows, index * width, width, z);
      sum += nextStates[index]!;
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

  /** Sets states to zero that are on their way to subnormal numbers; to be called once a chunk. */
  flush(): void {
    const { stateHistory } = this.memory;
    for (let index = 0; index < stateHistory.length; index++) {
      if (stateHistory[index]! < FLUSH_BELOW && stateHistory[index]! > -FLUSH_BELOW) stateHistory[index] = 0;
    }
  }

  #advance(known: Float64Array): void {
    const { stateCount, inputCount, z, stateHistory, nextStates } = this.memory;
    const { devices } = this.#block;
    for (let index = 0; index < devices.length; index++) {
      const out = devices[index]!.outputNode;
      if (out >= 0) known[out] = z[stateCount + inputCount + this.#ports[index]!]!;
    }
    this.#newton.advance();
    for (let index = 0; index < stateCount; index++) {
      stateHistory[3 * index + 2] = stateHistory[3 * index + 1]!;
      stateHistory[3 * index + 1] = stateHistory[3 * index]!;
      stateHistory[3 * index] = nextStates[index]!;
    }
  }
}

/** Voltage of a diode's junction if all of a voltage stood across its series resistance, V. Real-time safe. */
function highestJunctionV(parameters: Float64Array, offset: number, volts: number): number {
  const saturationV = parameters[offset + DIODE.seriesOhms]! * parameters[offset]!;
  return parameters[offset + DIODE.emissionV]! * Math.log1p(volts / saturationV);
}

function dot(rows: Float64Array, start: number, columns: number, z: Float64Array): number {
  let sum = 0;
  for (let column = 0; column < columns; column++) sum += rows[start + column]! * z[column]!;
  return sum;
}
