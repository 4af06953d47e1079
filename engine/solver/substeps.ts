import { deviceModel } from '../devices/devices.ts';
import type { CompiledBlock, CompiledCircuit, CompiledDevice } from './compiled-circuit.ts';

/**
 * Clipping makes edges far shorter than a sample; sampled directly they would alias. So the blocks that clip
 * take several steps a sample: their inputs are interpolated between samples, and their outputs are decimated.
 */

/** Steps of a block with diodes, and of an op-amp that clips at its rails, whose edges are sharper. */
const DIODE_SUBSTEPS = 2;
const RAIL_SUBSTEPS = 4;
export const MOST_SUBSTEPS = 4;
/** A block of more ports takes one step: its cost grows with the square and cube of the ports. */
const MOST_STEPPED_PORTS = 8;

/**
 * Decimation filter: the first tap is for the end of the sample, each next one for a step earlier. With z a step of delay
 * they are T(z)²·c(z), T the mean of the steps of a sample, which has zeros where audible frequencies would fold, and
 * c(z) = α + βz + γz² such that a parabola passes without delay: Σ a_k = 1, Σ k·a_k = Σ k²·a_k = 0.
 */
export function decimatorTaps(steps: number): number[] {
  // Moments of T² about zero delay, by the cumulants of two uniform distributions.
  const mean = steps - 1;
  const variance = (steps * steps - 1) / 6;
  const gamma = (mean * mean - variance + mean) / 2;
  const beta = -mean - 2 * gamma;
  const box = new Array<number>(steps).fill(1 / steps);
  return convolve(convolve(box, box), [1 - beta - gamma, beta, gamma]);
}

/**
 * Weights that interpolate a voltage at each step of a sample by the parabola through its last three samples:
 * one row a step, the last step being the sample itself; in each row the latest sample first.
 */
export function interpolationWeights(steps: number): (readonly [number, number, number])[] {
  return Array.from({ length: steps }, (_, step) => {
    const ago = 1 - (step + 1) / steps;
    return [((1 - ago) * (2 - ago)) / 2, ago * (2 - ago), (-ago * (1 - ago)) / 2] as const;
  });
}

/** How an input of a block of several steps changes within a sample. */
export const WITHIN = {
  /** A supply: it is constant. */
  still: 0,
  /** Known at samples; between them it is interpolated. */
  smooth: 1,
  /** From a block that takes the same steps: known at each of them. */
  stepped: 2,
} as const;

/**
 * Chooses the blocks of several steps: those in the signal path with diodes; in a circuit without diodes, the
 * first with an op-amp that amplifies, since its rails then clip. Depends on the structure only, so that a changed value
 * needs no new code.
 *
 * @param blocks In the order in which they are solved. @param inputIndex Node of the instrument.
 */
export function chooseSubsteps(blocks: readonly CompiledBlock[], inputIndex: number): CompiledBlock[] {
  const way = signalBlocks(blocks, inputIndex).filter((block) => portCount(block) <= MOST_STEPPED_PORTS);
  const hasEdges = ({ devices }: CompiledBlock) =>
    devices.some(({ kind }) => deviceModel(kind).equations?.hasEdges);
  const amplifier = way.some(hasEdges) ? undefined : way.find(({ devices }) => devices.some(isAmplifier));
  return blocks.map((block) => {
    if (block === amplifier) return { ...block, substeps: RAIL_SUBSTEPS };
    return way.includes(block) && hasEdges(block) ? { ...block, substeps: DIODE_SUBSTEPS } : block;
  });
}

/** Blocks that the input reaches, not counting paths through the rails. */
function signalBlocks(blocks: readonly CompiledBlock[], inputIndex: number): CompiledBlock[] {
  const reached = new Set([inputIndex]);
  return blocks.filter((block) => {
    if (!block.inputs.some((node) => reached.has(node))) return false;
    for (const node of writtenNodes(block)) reached.add(node);
    return true;
  });
}

function portCount({ devices }: CompiledBlock): number {
  return devices.reduce((sum, { ports }) => sum + ports.length, 0);
}

/** An op-amp that is not a plain follower. */
function isAmplifier({ ports, outputNode }: CompiledDevice): boolean {
  return outputNode >= 0 && ports[0]!.minus !== outputNode;
}

/** Nodes whose voltage a block sets for others: its outputs, then its op-amps' outputs. */
export function writtenNodes({ outputs, devices }: CompiledBlock): number[] {
  return [...outputs, ...devices.flatMap(({ outputNode }) => (outputNode < 0 ? [] : [outputNode]))];
}

/** {@link WITHIN} of each of a block's inputs. */
export function inputsWithin({ blocks, rails, inputIndex }: CompiledCircuit, block: CompiledBlock): number[] {
  const alike = blocks.filter(({ substeps }) => substeps === block.substeps);
  const stepped = new Set(alike.flatMap(writtenNodes));
  const moving = new Set([inputIndex, ...rails.map(({ node }) => node), ...blocks.flatMap(writtenNodes)]);
  return block.inputs.map((node) => {
    if (stepped.has(node)) return WITHIN.stepped;
    return moving.has(node) ? WITHIN.smooth : WITHIN.still;
  });
}

function convolve(a: readonly number[], b: readonly number[]): number[] {
  return Array.from({ length: a.length + b.length - 1 }, (_, n) =>
    a.reduce((sum, value, k) => sum + value * (b[n - k] ?? 0), 0),
  );
}
