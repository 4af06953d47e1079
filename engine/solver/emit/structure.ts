import { BlockCoefficients } from '../block-coefficients.ts';
import type { BlockMemory } from '../block-memory.ts';
import { plainMemory } from '../circuit-memory.ts';
import type { CompiledBlock, CompiledCircuit } from '../compiled-circuit.ts';

/** Which entries of a block's rows can differ from zero, whatever the values of its parts. */
export interface BlockStructure {
  readonly portRows: readonly boolean[];
  readonly stateRows: readonly boolean[];
  readonly outputRows: readonly boolean[];
  readonly meterRows: readonly boolean[];
}

/** Addresses of a block's numbers, and which of them can differ from zero. */
export interface BlockPlace {
  readonly memory: BlockMemory;
  readonly structure: BlockStructure;
  readonly parametersAddress: number;
}

/**
 * Structure of every block, found by computing its rows for random values, all conductances near 1 S: an entry
 * that is exactly zero for two sets of values is zero by structure. There is no threshold: along a ladder of
 * thirty sections an entry falls to 1e-13 for these values, but may be near one for the circuit's own.
 */
export function blockStructures(circuit: CompiledCircuit): readonly BlockStructure[] {
  const draws = [drawRows(circuit, 1), drawRows(circuit, 2)];
  return circuit.blocks.map((_, index) => {
    const mask = (rows: (memory: BlockMemory) => Float64Array): boolean[] => {
      const [first, second] = draws.map((memories) => rows(memories[index]!));
      return Array.from(first!, (value, entry) => value !== 0 || second![entry] !== 0);
    };
    return {
      portRows: mask(({ portRows }) => portRows),
      stateRows: mask(({ stateRows }) => stateRows),
      outputRows: mask(({ outputRows }) => outputRows),
      meterRows: mask(({ meterRows }) => meterRows),
    };
  });
}

function drawRows(circuit: CompiledCircuit, seed: number): readonly BlockMemory[] {
  const { blocks } = plainMemory(circuit);
  const parameters = Float64Array.from(circuit.parameters);
  const draw = uniform(seed);
  for (const block of circuit.blocks) drawBlock(block, parameters, circuit.sampleRateHz, draw);
  const knownCount = circuit.unitIndex + 1;
  circuit.blocks.forEach((block, index) => {
    const rateHz = circuit.sampleRateHz * block.substeps;
    const isDerived = new BlockCoefficients(block, blocks[index]!, knownCount, rateHz).derive(parameters);
    // Rows that were not computed would count as zeros. Conductances near 1 S between nodes that all reach a
    // known voltage are never singular.
    if (!isDerived) throw new RangeError(`block ${index} is singular for drawn values`);
  });
  return blocks;
}

function drawBlock(
  { branches, states, constantCurrents, devices }: CompiledBlock,
  parameters: Float64Array,
  sampleRateHz: number,
  draw: () => number,
): void {
  for (const { offset } of branches) parameters[offset] = draw();
  for (const { offsets } of states) {
    for (const offset of offsets) parameters[offset] = draw() / (2 * sampleRateHz);
  }
  for (const { offset } of constantCurrents) parameters[offset] = draw();
  for (const { seriesOffset, ports } of devices) {
    if (seriesOffset >= 0) parameters[seriesOffset] = draw();
    for (const { loadOffset } of ports) if (loadOffset >= 0) parameters[loadOffset] = draw();
  }
}

/** Numbers between 0.5 and 1.5, the same for the same seed (Lehmer's generator). */
function uniform(seed: number): () => number {
  let state = seed * 7919;
  return () => {
    state = (state * 48271) % 2147483647;
    return 0.5 + state / 2147483647;
  };
}
