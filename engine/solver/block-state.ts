import { input } from '../devices/formula.ts';
import { BlockCoefficients } from './block-coefficients.ts';
import { type BlockDeviceKind, blockDeviceModel } from './block-devices.ts';
import { type BlockMemory, COUNTER, firstPorts } from './block-memory.ts';
import { ChargePast, restingDevice } from './charge-past.ts';
import type { CircuitMemory } from './circuit-memory.ts';
import type { CompiledBlock, CompiledCircuit, RestState } from './compiled-circuit.ts';
import { DerivedParts } from './device-functions.ts';
import { FormulaTape } from './formula-tape.ts';
import type { PortDevice } from './port-device.ts';
import { RowRamp } from './row-ramp.ts';
import { inputsWithin, WITHIN, writtenNodes } from './substeps.ts';

/**
 * States below this are set to zero, since neither JavaScript nor WebAssembly flushes subnormals. It is
 * negligible, and large enough that a state which halves with every sample reaches it within a chunk of 512.
 */
const FLUSH_BELOW = 1e-150;

/**
 * One block's numbers around the sample loop: its operating point and the values computed from its parts.
 * Real-time safe except the constructor.
 */
export class BlockState {
  readonly memory: BlockMemory;
  readonly #coefficients: BlockCoefficients;
  readonly #ramp: RowRamp;
  readonly #block: CompiledBlock;
  readonly #parameters: Float64Array;
  readonly #parts: DerivedParts;
  /** For each device with a series resistance, the starting voltage after it. */
  readonly #starts: readonly (FormulaTape | undefined)[];
  /** Devices whose ports hold charges. */
  readonly #resting: readonly (PortDevice | undefined)[];
  readonly #charges: ChargePast;
  readonly #rest: RestState;
  readonly #ports: Int32Array;
  readonly #inputs: Int32Array;
  readonly #within: Int32Array;
  readonly #outputs: Int32Array;
  /** Nodes that others read, if the block takes several steps a sample. */
  readonly #stepped: Int32Array;

  /** `reset` must come before the first sample. */
  constructor(circuit: CompiledCircuit, index: number, { blocks, parameters, rest }: CircuitMemory) {
    const knownCount = circuit.unitIndex + 1;
    const block = circuit.blocks[index]!;
    const memory = blocks[index]!;
    const stepRateHz = circuit.sampleRateHz * block.substeps;
    this.memory = memory;
    this.#block = block;
    this.#parameters = parameters;
    this.#rest = rest;
    this.#coefficients = new BlockCoefficients(block, memory, knownCount, stepRateHz);
    this.#ramp = new RowRamp(memory);
    this.#ports = Int32Array.from(firstPorts(block));
    this.#inputs = Int32Array.from(block.inputs);
    this.#outputs = Int32Array.from(block.outputs);
    this.#within = Int32Array.from(inputsWithin(circuit, block));
    this.#stepped = Int32Array.from(block.substeps > 1 ? writtenNodes(block) : []);
    this.#derive();
    this.#parts = new DerivedParts(block, stepRateHz, memory.deviceConstants);
    this.#starts = block.devices.map(({ kind }) => startTape(kind));
    this.#resting = block.devices.map(({ kind }) => restingDevice(kind));
    this.#charges = new ChargePast(block, memory, stepRateHz);
    this.deriveDevices();
  }

  /** Chooses the probed node: one that the block solves or reads, otherwise ground. Real-time safe. */
  probe(node: number): void {
    this.#coefficients.probe(node);
    this.#ramp.holdProbe();
  }

  /** Computes the values that emitted code needs of the devices; unlike the coefficients they are cheap. */
  deriveDevices(): void {
    this.#parts.derive(this.#parameters);
    this.#charges.derive(this.#parameters);
  }

  /** Sets the block to its operating point. */
  reset(): void {
    const { states, devices } = this.#block;
    const { voltages, lastVoltages, earlierVoltages, opampHistory, opampJumps, stateHistory } = this.memory;
    const { restVolts: rest, restInductorA } = this.#rest;
    for (let index = 0; index < states.length; index++) {
      const { a, b, inductive, offsets } = states[index]!;
      const value = inductive ? restInductorA[offsets[0]!]! : rest[a]! - rest[b]!;
      for (let past = 0; past < 3; past++) stateHistory[3 * index + past] = value;
    }
    for (let index = 0; index < devices.length; index++) {
      const { offset, ports, outputNode } = devices[index]!;
      const start = this.#starts[index];
      const resting = start && this.#resting[index];
      for (let port = 0; port < ports.length; port++) {
        const { plus, minus, metered } = ports[port]!;
        // The current of an op-amp's output at rest is found by the first sample.
        let volts = metered >= 0 ? 0 : rest[plus]! - rest[minus]!;
        // Start of Newton's method: the voltage across a series resistance is not part of the port's.
        // What holds a charge begins exactly at rest, or that charge would flow.
        if (resting) {
          resting.volts[0] = volts;
          resting.evaluate(this.#parameters, offset);
          volts = resting.innerVolts[0]!;
        } else if (start) {
          start.inputs[0] = volts;
          start.run(this.#parameters, offset);
          volts = start.outputs[0]!;
        }
        voltages[this.#ports[index]! + port] = volts;
        lastVoltages[this.#ports[index]! + port] = volts;
        earlierVoltages[this.#ports[index]! + port] = volts;
      }
      if (outputNode < 0) continue;
      for (let past = 0; past < 3; past++) opampHistory[3 * index + past] = rest[outputNode]!;
    }
    opampJumps.fill(Number.NaN);
    this.#charges.derive(this.#parameters);
    if (this.#block.substeps > 1) this.#resetSubsteps();
  }

  /** Values of earlier samples that substeps need. */
  #resetSubsteps(): void {
    const { inputPast, writtenPast, drawnPast } = this.memory;
    drawnPast.fill(Number.NaN);
    const { restVolts: rest } = this.#rest;
    const pasts = this.#block.substeps + 1;
    for (let index = 0; index < this.#inputs.length; index++) {
      if (this.#within[index] !== WITHIN.smooth) continue;
      inputPast[2 * index] = rest[this.#inputs[index]!]!;
      inputPast[2 * index + 1] = rest[this.#inputs[index]!]!;
    }
    for (let index = 0; index < this.#stepped.length; index++) {
      const volts = rest[this.#stepped[index]!]!;
      for (let past = 0; past < pasts; past++) writtenPast[pasts * index + past] = volts;
    }
  }

  /** Resets the block and its outputs to the operating point after a sample that was not finite, and counts it. */
  recover(known: Float64Array): void {
    this.memory.counters[COUNTER.resets]! += 1;
    this.reset();
    const { devices } = this.#block;
    const { restVolts } = this.#rest;
    for (let row = 0; row < this.#outputs.length; row++) {
      known[this.#outputs[row]!] = restVolts[this.#outputs[row]!]!;
    }
    for (let index = 0; index < devices.length; index++) {
      const out = devices[index]!.outputNode;
      if (out >= 0) known[out] = restVolts[out]!;
    }
  }

  /**
   * Computes the coefficients again after a change. Voltages of capacitors and currents of inductors stay, so
   * there is no thump.
   *
   * @param rampSteps Number of calls of `advanceRamp` until the rows are reached; 0 sets them at once.
   */
  update(rampSteps: number): void {
    this.#ramp.leave();
    this.#derive();
    if (rampSteps > 0) this.#ramp.aim(rampSteps);
    else this.#ramp.stop();
    this.#coefficients.eliminate();
  }

  /** Rows whose equations have no solution stay as they were, and this is counted: the block goes on with the old values. */
  #derive(): void {
    if (!this.#coefficients.derive(this.#parameters)) this.memory.counters[COUNTER.failures]! += 1;
  }

  /** Whether the rows are still changing. */
  get isRamping(): boolean {
    return this.#ramp.isUnderWay;
  }

  /** Takes the rows one step further if they are changing. */
  advanceRamp(): void {
    if (!this.#ramp.isUnderWay) return;
    this.#ramp.advance();
    this.#coefficients.eliminate();
  }

  /** Sets states to zero before they become subnormal; to be called once a chunk. */
  flush(): void {
    flushed(this.memory.stateHistory);
    flushed(this.memory.chargeHistory);
  }
}

function flushed(history: Float64Array): void {
  for (let index = 0; index < history.length; index++) {
    if (history[index]! < FLUSH_BELOW && history[index]! > -FLUSH_BELOW) history[index] = 0;
  }
}

/** First guess of a port's voltage from the voltage across it and its series resistance; undefined if it has none. */
function startTape(kind: BlockDeviceKind): FormulaTape | undefined {
  const { parameters, equations } = blockDeviceModel(kind);
  if (!equations?.series) return undefined;
  return new FormulaTape([equations.series.start(input('volts'))], ['volts'], parameters);
}
