import { LOAD_SIEMENS, SOURCED_OHMS } from '../devices/opamp-equations.ts';
import { COUNTER } from './block-memory.ts';
import { BlockState } from './block-state.ts';
import { CHUNK_SAMPLES, type CircuitMemory } from './circuit-memory.ts';
import type { CompiledCircuit, RestState } from './compiled-circuit.ts';
import { type EmittedLoop, loopOf } from './emit/emitted-loop.ts';
import { GlidingValues } from './gliding-values.ts';
import { placeOf } from './parameters.ts';

const LOAD = placeOf('opamp', LOAD_SIEMENS);

/**
 * Time between control steps of a gliding value, s (16 frames at 48 kHz), and ramp steps in each. At a control
 * step the dependent rows are computed; the ramp steps interpolate, which costs little. Compared with a glide
 * in steps of 10 µs (sine of 1 kHz, a tenth of a pot's rotation in 10 ms, below 20 kHz), single steps of 1/3 ms
 * leave an error of -49 dB for a volume pot and -57 to -83 dB for gain and tone; ramps leave -63 dB and -70 to
 * -100 dB, as good as a computation at every ramp step.
 */
const CONTROL_STEP_S = 1 / 3000;
const RAMP_STEPS = 4;

/**
 * A whole circuit over time, at the rate that it was compiled for: input volts in, output volts out.
 *
 * Within a sample the blocks are solved in order. The rails are constant meanwhile and are then advanced on
 * their capacitance by an explicit step from the currents that the blocks drew (see RAIL_WEIGHTS), so that no
 * block needs to wait for another.
 *
 * `process`, `setParameters` and `setRest` are real-time safe.
 */
export class CircuitSimulator {
  readonly circuit: CompiledCircuit;
  readonly memory: CircuitMemory;
  readonly #loop: EmittedLoop;
  readonly #blocks: readonly BlockState[];
  readonly #values: GlidingValues;
  /** The block with a node's voltage among its rows, by node; −1 for none. */
  readonly #blockOf: Int32Array;
  /** The node that is probed, in its one entry; −1 for none. */
  readonly #probed = Int32Array.of(-1);
  readonly #stepS: number;
  /** Samples between two ramp steps. */
  readonly #rampSamples: number;
  #controlStepsLeft = 0;
  #rampStepsLeft = 0;
  #untilRampStep = 0;
  /** Increases whenever numbers change that the sample loop does not change. */
  readonly #revision = new Int32Array(1);

  constructor(circuit: CompiledCircuit) {
    this.circuit = circuit;
    this.#loop = loopOf(circuit);
    this.memory = this.#loop.memory;
    this.memory.parameters.set(circuit.parameters);
    this.#values = new GlidingValues(circuit, this.memory.parameters);
    this.#rampSamples = Math.max(1, Math.round((CONTROL_STEP_S / RAMP_STEPS) * circuit.sampleRateHz));
    this.#stepS = 1 / circuit.sampleRateHz;
    this.#blocks = circuit.blocks.map((_, index) => new BlockState(circuit, index, this.memory));
    this.#blockOf = probeBlocks(circuit);
    this.memory.probeBlock[0] = -1;
    this.reset();
  }

  /** Newton iterations of all blocks since the start. */
  get newtonIterations(): number {
    return this.#count(COUNTER.iterations);
  }

  /**
   * Samples in which Newton's method did not converge, plus steps of a glide at which the equations had no
   * solution, since the start.
   */
  get failures(): number {
    return this.#count(COUNTER.failures);
  }

  /** Number of resets of a block because a number was not finite, since the start. */
  get resets(): number {
    return this.#count(COUNTER.resets);
  }

  #count(counter: number): number {
    let sum = 0;
    for (let index = 0; index < this.#blocks.length; index++)
      sum += this.#blocks[index]!.memory.counters[counter]!;
    return sum;
  }

  /** Changes whenever coefficients, the probe or the whole state are set from outside the sample loop. */
  get revision(): number {
    return this.#revision[0]!;
  }

  /** Sets the whole circuit to its operating point, with the present values. */
  reset(): void {
    this.#revision[0]!++;
    const { circuit } = this;
    const { known, railCurrents } = this.memory;
    known.fill(0);
    known.set(this.memory.rest.restVolts);
    known[circuit.unitIndex] = 1;
    railCurrents.fill(0);
    this.#resetLoads();
    this.#applySources();
    for (let index = 0; index < this.#blocks.length; index++) this.#blocks[index]!.reset();
  }

  /** Takes the predicted part of each load from the operating point: there only resistors and inputs carry current. */
  #resetLoads(): void {
    const { known, parameters, loadPast, rest } = this.memory;
    const { opamps } = this.circuit;
    loadPast.fill(Number.NaN);
    for (let index = 0; index < opamps.length; index++) {
      const { out, loadNode, loadResistors, loadBiases, offset } = opamps[index]!;
      if (loadNode < 0) continue;
      const volts = rest.restVolts[out]!;
      let amps = -volts * parameters[offset + LOAD]!;
      for (let entry = 0; entry < loadResistors.length; entry++) {
        const { far, offset: ohms } = loadResistors[entry]!;
        amps += (volts - rest.restVolts[far]!) / parameters[ohms]!;
      }
      for (let entry = 0; entry < loadBiases.length; entry++) amps += parameters[loadBiases[entry]!]!;
      rest.restVolts[loadNode] = SOURCED_OHMS * amps;
      known[loadNode] = SOURCED_OHMS * amps;
    }
  }

  /** Voltage of a node at the operating point, V: from the compiled circuit, or from the last `setRest`. */
  restVoltage(nodeIndex: number): number {
    return this.memory.rest.restVolts[nodeIndex]!;
  }

  /**
   * Sets the operating point of the values that `setParameters` is given, for a later reset. It does not change
   * the sound. @param rest Of a circuit of this structure. Copied.
   */
  setRest({ restVolts, restInductorA }: RestState): void {
    this.memory.rest.restVolts.set(restVolts);
    this.memory.rest.restInductorA.set(restInductorA);
  }

  /**
   * Sets every number of the circuit; changed numbers glide, see GlidingValues. The structure must be the compiled one.
   *
   * @param target Same layout as `circuit.parameters`. Copied.
   * @param glideSeconds 0 sets them at the next sample.
   */
  setParameters(target: Float64Array, glideSeconds: number): void {
    this.#values.aim(target);
    const steps = Math.round(glideSeconds / (RAMP_STEPS * this.#rampSamples * this.#stepS));
    this.#controlStepsLeft = steps;
    this.#rampStepsLeft = 0;
    this.#untilRampStep = 0;
    if (steps < 1) this.#control(0);
  }

  /** True while values are still gliding. */
  get isGliding(): boolean {
    return this.#controlStepsLeft > 0 || this.#rampStepsLeft > 0 || this.#untilRampStep > 0;
  }

  /** Voltage of a node after the last sample, V; valid for rails, op-amp outputs, the output and observed nets. */
  voltage(nodeIndex: number): number {
    return this.memory.known[nodeIndex]!;
  }

  /**
   * Chooses the node whose voltage `process` gives beside the output. Nothing is compiled: it is one more row
   * of a block. Real-time safe, takes microseconds.
   *
   * @param nodeIndex Among the circuit's node names; −1 for none.
   */
  probe(nodeIndex: number): void {
    this.#revision[0]!++;
    this.#probed[0] = nodeIndex;
    const wanted = nodeIndex < 0 ? -1 : this.#blockOf[nodeIndex]!;
    this.memory.probeBlock[0] = wanted;
    for (let index = 0; index < this.#blocks.length; index++) {
      this.#blocks[index]!.probe(index === wanted ? nodeIndex : 0);
    }
  }

  /**
   * @param input Input voltage, V, length ≥ frames. @param output Output voltage, V. May be the same array.
   * @param probed Voltage of the probed node, V; 0 for none. Optional.
   */
  process(input: Float64Array, output: Float64Array, frames: number, probed?: Float64Array): void {
    let done = 0;
    while (done < frames) {
      const chunk = this.prepareChunk(frames - done);
      this.beginChunk(chunk);
      this.solveChunk(input, output, done, chunk, probed);
      done += chunk;
    }
  }

  /** Takes a step of a glide if one is due. @returns How many of the samples can be solved at once. */
  prepareChunk(most: number): number {
    if (this.#untilRampStep === 0) this.#glide();
    const chunk = most > CHUNK_SAMPLES ? CHUNK_SAMPLES : most;
    return this.#untilRampStep > 0 && chunk > this.#untilRampStep ? this.#untilRampStep : chunk;
  }

  /** Begins a chunk, at most as long as `prepareChunk` returned. */
  beginChunk(frames: number): void {
    if (this.#untilRampStep > 0) this.#untilRampStep -= frames;
  }

  /** Solves a chunk, from an index in the input to the same index in the output. */
  solveChunk(
    input: Float64Array,
    output: Float64Array,
    start: number,
    frames: number,
    probed: Float64Array | undefined,
  ): void {
    const { memory } = this;
    for (let frame = 0; frame < frames; frame++) memory.input[frame] = input[start + frame]!;
    let from = 0;
    while (from < frames) {
      const reached = this.#loop.run(from, frames);
      if (reached < frames) {
        this.#blocks[memory.faultyBlock[0]!]!.recover(memory.known);
        // What was extrapolated from the fault must not come back.
        this.#resetLoads();
        memory.output[reached] = memory.known[this.circuit.outputIndex]!;
        if (this.#probed[0]! >= 0) memory.probe[reached] = this.restVoltage(this.#probed[0]!);
      }
      from = reached + 1;
    }
    this.flush();
    for (let frame = 0; frame < frames; frame++) output[start + frame] = memory.output[frame]!;
    if (probed) this.readProbe(probed, start, frames);
  }

  /** To be called after every chunk: see BlockState. */
  flush(): void {
    for (let index = 0; index < this.#blocks.length; index++) this.#blocks[index]!.flush();
  }

  /** Reads the probed node's voltages of the chunk that was solved last. */
  readProbe(probed: Float64Array, start: number, frames: number): void {
    const { probe, probeBlock, input, known } = this.memory;
    const node = this.#probed[0]!;
    for (let frame = 0; frame < frames; frame++) {
      // A node that no block reads is a constant supply, or the input of a circuit that is only a wire.
      if (probeBlock[0]! >= 0) probed[start + frame] = probe[frame]!;
      else if (node === this.circuit.inputIndex) probed[start + frame] = input[frame]!;
      else probed[start + frame] = node < 0 ? 0 : known[node]!;
    }
  }

  /** The next ramp step of a glide, if there is one; before it a control step if the last one is reached. */
  #glide(): void {
    if (this.#rampStepsLeft === 0) {
      if (this.#controlStepsLeft === 0) return;
      this.#controlStepsLeft--;
      this.#rampStepsLeft = RAMP_STEPS;
      this.#control(RAMP_STEPS);
    }
    this.#revision[0]!++;
    this.#rampStepsLeft--;
    this.#untilRampStep = this.#rampSamples;
    for (let block = 0; block < this.#blocks.length; block++) this.#blocks[block]!.advanceRamp();
  }

  /** Moves every gliding number one step and computes the dependent rows, to be reached in a number of ramp steps. */
  #control(rampSteps: number): void {
    this.#revision[0]!++;
    this.#values.step(this.#controlStepsLeft);
    this.#applySources();
    for (let block = 0; block < this.#blocks.length; block++) {
      if (this.#values.movesDevices(block)) this.#blocks[block]!.deriveDevices();
      // After an interrupted glide, rows may still be changing although their numbers are final.
      if (this.#values.movesRows(block) || this.#blocks[block]!.isRamping) {
        this.#blocks[block]!.update(rampSteps);
      }
    }
  }

  #applySources(): void {
    const { sources, rails } = this.circuit;
    const { known, parameters, railElastances } = this.memory;
    for (let index = 0; index < sources.length; index++) {
      known[sources[index]!.node] = parameters[sources[index]!.offset]!;
    }
    for (let index = 0; index < rails.length; index++) {
      const { capacitorOffsets } = rails[index]!;
      let farads = 0;
      for (let k = 0; k < capacitorOffsets.length; k++) farads += parameters[capacitorOffsets[k]!]!;
      railElastances[index] = 1 / farads;
    }
  }
}

/** The block that solves each node, otherwise one that reads it, otherwise −1. */
function probeBlocks({ blocks, nodeNames }: CompiledCircuit): Int32Array {
  const blockOf = new Int32Array(nodeNames.length).fill(-1);
  const claim = (nodes: readonly number[], block: number) => {
    for (const node of nodes) if (node > 0 && node < nodeNames.length) blockOf[node] = block;
  };
  blocks.forEach(({ inputs }, index) => {
    claim(inputs, index);
  });
  blocks.forEach(({ unknowns, devices }, index) => {
    claim([...unknowns, ...devices.map(({ outputNode }) => outputNode)], index);
  });
  return blockOf;
}
