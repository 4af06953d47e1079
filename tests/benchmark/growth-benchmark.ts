import type { Network } from '../../engine/network/network.ts';
import { compileCircuit } from '../../engine/solver/compile.ts';
import { hasCompiler, ratioToC } from './c-baseline.ts';
import { DENSE_BLOCKS, denseBlock, ROW_NAMES, rowOfStages } from './growth-networks.ts';
import { oversampled, recordingInput } from './recording-input.ts';
import { type NetworkTiming, SAMPLE_RATE_HZ, timeNetwork } from './solver-benchmark.ts';

/** The timing of a network that stands for others of its size. */
export interface Growth extends NetworkTiming {
  readonly name: string;
  /** Most steps of a block in a sample. */
  readonly steps: number;
  /** Null where no C compiler is installed. */
  readonly ratioToC: number | null;
}

export interface RowGrowth extends Growth {
  readonly parts: number;
  readonly blocks: number;
}

export interface DenseGrowth extends Growth {
  readonly ports: number;
}

const OVERSAMPLING = 16;
/** A loud part of the recording, from this time on, and its length, s. */
const [FROM_S, SECONDS] = [0.5, 0.1];
const PEAK_V = 1;
/** Resistors of the twin against those of the network. */
const TWIN_RATIO = 1.1;

/** Rows of like stages, of each kind and number of parts. */
export function rowGrowth(parts: readonly number[]): RowGrowth[] {
  return ROW_NAMES.flatMap((name) =>
    parts.map((about) => {
      const { network, parts } = rowOfStages(name, about);
      return { ...growthOf(name, network), parts, blocks: compiled(network).blocks.length };
    }),
  );
}

/** Blocks of up to so many ports that no op-amp divides. */
export function denseGrowth(mostPorts: number): DenseGrowth[] {
  return DENSE_BLOCKS.filter(({ ports }) => ports <= mostPorts).map(({ name, ports }) => ({
    ...growthOf(name, denseBlock(name, ports)),
    ports,
  }));
}

function growthOf(name: string, network: Network): Growth {
  const inputV = loudInput();
  const circuit = compiled(network);
  return {
    name,
    ...timeNetwork(network, twinOf(network), OVERSAMPLING, { inputV, now: () => performance.now() }),
    steps: Math.max(...circuit.blocks.map(({ substeps }) => substeps)),
    ratioToC: hasCompiler() ? ratioToC(circuit, oversampled(inputV, OVERSAMPLING)) : null,
  };
}

const compiled = (network: Network) =>
  compileCircuit(network, { sampleRateHz: SAMPLE_RATE_HZ * OVERSAMPLING });

function twinOf(network: Network): Network {
  const primitives = network.primitives.map((primitive) =>
    primitive.kind === 'resistor' ? { ...primitive, ohms: TWIN_RATIO * primitive.ohms } : primitive,
  );
  return { ...network, primitives };
}

function loudInput(): Float64Array {
  const piece = recordingInput(FROM_S + SECONDS).subarray(FROM_S * SAMPLE_RATE_HZ);
  const most = piece.reduce((largest, volts) => Math.max(largest, Math.abs(volts)), 0);
  return piece.map((volts) => (PEAK_V * volts) / most);
}
