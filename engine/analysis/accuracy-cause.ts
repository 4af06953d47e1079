import type { OversamplingFactor } from '../audio/oversampler.ts';
import { partName } from '../devices/origin.ts';
import type { Network } from '../network/network.ts';
import { pruneNetwork } from '../network/prune.ts';
import { compileCircuit } from '../solver/compile.ts';
import type { CompiledBlock, CompiledCircuit } from '../solver/compiled-circuit.ts';
import { writtenNodes } from '../solver/substeps.ts';
import { type AccuracyOptions, differenceRms, heardAt, rms, type SolverAccuracy } from './solver-accuracy.ts';

/** If a doubled rate gains less than this, dB, a higher rate does not help. */
export const LEAST_GAIN_DB = 2;
/** A block whose error is this fraction of the largest error is where the error begins. */
const BEGINNING_SHARE = 0.5;
const FLOOR_V = 1e-3;
const MOST_NAMED = 4;

/** The cause of an error, in a sentence. */
export interface AccuracyCause {
  /** Parts of the block in which the error begins. */
  readonly parts: readonly string[];
  readonly reason: string;
}

/**
 * The first block, in the order of solution, whose own voltages differ between the rate of the render and
 * half of it about as much as any other block's. Plays the excerpt twice for each block.
 *
 * @throws NetworkError, OperatingPointError.
 */
export function accuracyCause(
  unpruned: Network,
  excerptV: Float64Array,
  accuracy: SolverAccuracy,
  sampleRateHz: number,
): AccuracyCause {
  const network = pruneNetwork(unpruned);
  // There is no half of 1x.
  const options = { factor: Math.max(2, accuracy.factor) as OversamplingFactor, sampleRateHz };
  const circuit = compileCircuit(network, {
    sampleRateHz: accuracy.factor * sampleRateHz,
    interpreted: true,
  });
  const errors = circuit.blocks.map((block) => blockError(network, circuit, block, excerptV, options));
  const most = Math.max(0, ...errors);
  const first = circuit.blocks[errors.findIndex((error) => error >= BEGINNING_SHARE * most)];
  return { parts: first ? partsOf(network, circuit, first) : [], reason: reasonOf(accuracy) };
}

function reasonOf({ factor, gainOfDoublingDb }: SolverAccuracy): string {
  return gainOfDoublingDb < LEAST_GAIN_DB
    ? 'it oscillates or is unstable there, and no rate helps'
    : `its edges are too fast for ${factor}x`;
}

/** Error of the block's outputs, as a fraction of their swing. */
function blockError(
  network: Network,
  { nodeNames }: CompiledCircuit,
  block: CompiledBlock,
  excerptV: Float64Array,
  options: AccuracyOptions,
): number {
  const net = nodeNames[writtenNodes(block)[0] ?? block.unknowns[0] ?? 0];
  if (net === undefined) return 0;
  const [half, whole] = [2, 1].map((stride) => heardAt(network, excerptV, options, stride, net));
  const rest = whole![0] ?? 0;
  return differenceRms(half!, whole!) / Math.max(FLOOR_V, rms(whole!.map((volts) => volts - rest)));
}

/** Designators of the diodes and transistors in a block. */
function partsOf({ primitives }: Network, { nodeNames }: CompiledCircuit, block: CompiledBlock): string[] {
  const own = new Set([...block.unknowns, ...writtenNodes(block)].map((node) => nodeNames[node]));
  const devices = primitives.filter(
    ({ kind, nodes }) => !PASSIVE.has(kind) && nodes.slice(0, 3).some((node) => own.has(node)),
  );
  const parts = new Set(devices.map(({ origin }) => partName(origin)));
  return [...parts].slice(0, MOST_NAMED);
}

const PASSIVE = new Set(['resistor', 'capacitor', 'inductor', 'voltageSource', 'converter']);
