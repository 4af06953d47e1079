import type { OversamplingFactor } from '../audio/oversampler.ts';
import { partName } from '../devices/origin.ts';
import type { Network } from '../network/network.ts';
import { pruneNetwork } from '../network/prune.ts';
import { compileCircuit } from '../solver/compile.ts';
import type { CompiledBlock, CompiledCircuit } from '../solver/compiled-circuit.ts';
import { writtenNodes } from '../solver/substeps.ts';
import { type AccuracyOptions, differenceRms, heardAt, rms } from './solver-accuracy.ts';

/** A block whose error is this fraction of the largest error is where the error begins. */
const BEGINNING_SHARE = 0.5;
const FLOOR_V = 1e-3;
const MOST_NAMED = 4;

/**
 * Parts of the first block, in the order of solution, whose own voltages differ between this rate and half of it about as
 * much as any other block's: there an error begins. Plays the excerpt twice for each block.
 *
 * @throws NetworkError, OperatingPointError.
 */
export function partsAtFault(
  unpruned: Network,
  excerptV: Float64Array,
  factor: OversamplingFactor,
  sampleRateHz: number,
): readonly string[] {
  const network = pruneNetwork(unpruned);
  // There is no half of 1x.
  const options = { factor: Math.max(2, factor) as OversamplingFactor, sampleRateHz };
  const circuit = compileCircuit(network, { sampleRateHz: factor * sampleRateHz, interpreted: true });
  const errors = circuit.blocks.map((block) => blockError(network, circuit, block, excerptV, options));
  const most = Math.max(0, ...errors);
  const first = circuit.blocks[errors.findIndex((error) => error >= BEGINNING_SHARE * most)];
  return first ? partsOf(network, circuit, first) : [];
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
