import { deviceModel, isDevice } from '../devices/devices.ts';
import { blockDeviceModel } from './block-devices.ts';
import type {
  CompiledBlock,
  CompiledCircuit,
  CompiledDevice,
  CompiledOpamp,
  CompiledRail,
} from './compiled-circuit.ts';
import { opampLoads } from './loud-signal.ts';
import type { Element } from './partition.ts';
import { resonantOpamps } from './resonance.ts';
import { UnionFind } from './union-find.ts';

/**
 * Clipping makes edges far shorter than a sample; sampled directly they would alias. So the blocks that clip
 * take several steps a sample: their inputs are interpolated between samples, and their outputs are decimated.
 */

/** Steps of a block with diodes, and of an op-amp that clips at its rails, whose edges are sharper. */
export const DIODE_SUBSTEPS = 2;
const RAIL_SUBSTEPS = 4;
/**
 * Of a block in which an op-amp's loop closes through junctions alone, as with a class-B output stage: the amplifier slews
 * from one to the other at every change of sign.
 */
const CROSSOVER_SUBSTEPS = 3;
/**
 * Of a block with none, one or several transistors that amplify in it or before it, where nothing else clips: each sharpens the edges of the one
 * before. A silicon fuzz with 1 V, 1 kHz errs at 16x by -49, -61, -74, -83 and -88 dB with 1, 2, 4, 5 and 8 steps.
 */
const TRANSISTOR_SUBSTEPS = [1, 2, 5] as const;
/**
 * Of a block with several transistors that amplify in it or before it, where diodes clip too. Where an op-amp clips they are as many as its own:
 * edges that pass from steps to others are interpolated.
 */
const CASCADE_SUBSTEPS = 3;
/** Of a block with diodes that drive a rail so hard that it is solved with them. */
const HARD_SUBSTEPS = 4;
/** Of all blocks up to the last with a device where followers and stages behind the clipping ones clip too. */
const LIMITED_SUBSTEPS = 4;
/** Of a block with a resonance near the step rate, see resonance.ts. */
const RESONANT_SUBSTEPS = 8;
export const MOST_SUBSTEPS = 8;
/** A block of more ports takes one step: its cost grows with the square and cube of the ports. */
const MOST_STEPPED_PORTS = 32;
/** Supply of an op-amp below which a loud input, 2 V, brings a follower or an input range to its limit. */
const LOW_SUPPLY_V = 7;
/**
 * Drive, see loud-signal.ts, above which the edges of an op-amp are too sharp for one step, where diodes clip too and where it
 * clips what was clipped before. The presets reach 45 and 1.6 with their knobs anywhere.
 */
const [MOST_FIRST_DRIVE, MOST_LATER_DRIVE] = [50, 2] as const;

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

/**
 * Weights that give a current at the end of a sample from its means over the steps of this sample and the two before, by
 * the parabola that has these means; the latest sample first.
 */
export function endWeights(steps: number): readonly [number, number, number] {
  // The steps of a sample end at 0, 1/n, ... before its end: mean and mean square of these times, in samples.
  const mean = (1 - 1 / steps) / 2;
  const square = ((steps - 1) * (2 * steps - 1)) / (6 * steps * steps);
  // Σ w = 1, Σ w·(k + mean) = 0, Σ w·(k² + 2·k·mean + square) = 0 over the ages k.
  const oldest = (2 * mean * mean - square + mean) / 2;
  const middle = -mean - 2 * oldest;
  return [1 - middle - oldest, middle, oldest];
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

/** What of the values of its parts decides how a circuit is stepped. */
export interface StepNeeds {
  /** Nodes that diodes drive hard, see rails.ts. */
  readonly hard: ReadonlySet<number>;
  /** Op-amps with a resonance near the step rate, by index. */
  readonly resonant: ReadonlySet<number>;
  /** Whether stages that a loud input usually does not drive to their limits, or not as far, are driven there. */
  readonly isLimited: boolean;
  /** Whether an op-amp's output is always at its limit. */
  readonly restsAtLimit: boolean;
}

/** @param held Nodes that no block solves. */
export function stepNeeds(
  { elements, rails, inputIndex, temperatureK }: SteppedNetwork,
  held: ReadonlySet<number>,
  sampleRateHz: number,
): Omit<StepNeeds, 'hard'> {
  const still = rails.map(({ node }) => node);
  const { restsAtLimit, ...loads } = opampLoads(elements, inputIndex, still, temperatureK);
  const suppliedV = Number.isFinite(loads.leastSuppliedV) ? loads.leastSuppliedV : sourcesV(elements);
  return {
    resonant: resonantOpamps(elements, held, temperatureK, DIODE_SUBSTEPS * sampleRateHz),
    restsAtLimit,
    // Without diodes the first op-amp that clips takes enough steps anyway.
    isLimited:
      suppliedV < LOW_SUPPLY_V ||
      loads.laterDrive > MOST_LATER_DRIVE ||
      (loads.firstDrive > MOST_FIRST_DRIVE && hasSignalDiode(elements)),
  };
}

/** Volts between the highest and the lowest source. */
function sourcesV(elements: readonly Element[]): number {
  const volts = elements.flatMap(({ primitive }) =>
    primitive.kind === 'voltageSource' ? [primitive.volts] : [],
  );
  return Math.max(0, ...volts) - Math.min(0, ...volts);
}

/** Whether a diode is anywhere but across a source, where it protects and sees no signal. */
function hasSignalDiode(elements: readonly Element[]): boolean {
  const sources = elements.filter(({ primitive }) => primitive.kind === 'voltageSource');
  const fixed = new Set(sources.flatMap(({ nodes }) => [...nodes]));
  return elements.some((element) => isDiode(element) && !element.nodes.every((node) => fixed.has(node)));
}

function isDiode({ primitive }: Element): boolean {
  return isDevice(primitive) && deviceModel(primitive.kind).equations?.hasEdges === true;
}

/** What `stepNeeds` decides from. */
export interface SteppedNetwork {
  readonly elements: readonly Element[];
  readonly rails: readonly CompiledRail[];
  readonly inputIndex: number;
  readonly temperatureK: number;
}

/**
 * Chooses the steps that blocks take in a sample: several where edges are made, those on the signal's way that hold diodes,
 * or several transistors that amplify; in a circuit without diodes, the first with an op-amp that amplifies, since then its rails clip.
 *
 * @param blocks In the order in which they are solved. @param inputIndex Node of the instrument.
 */
export function chooseSubsteps(
  blocks: readonly CompiledBlock[],
  inputIndex: number,
  { hard, resonant, isLimited, restsAtLimit }: StepNeeds,
  { opamps, rails }: Pick<CompiledCircuit, 'opamps' | 'rails'>,
): CompiledBlock[] {
  const way = signalBlocks(blocks, inputIndex).filter((block) => portCount(block) <= MOST_STEPPED_PORTS);
  const amplifier = way.some(hasEdges) ? undefined : way.find(({ devices }) => devices.some(isAmplifier));
  const isBare = amplifier === undefined && !way.some(hasEdges);
  const last = [...way].reverse().find(({ devices }) => devices.length > 0);
  const clipping = isLimited && last ? way.slice(0, way.indexOf(last) + 1) : [];
  const cascadeSteps = amplifier ? RAIL_SUBSTEPS : CASCADE_SUBSTEPS;
  const isHard = ({ unknowns }: CompiledBlock) => unknowns.some((node) => hard.has(node));
  const cascade = way.findIndex((block) => amplifyingTransistors(block) > 1);
  const isBehindCascade = (block: CompiledBlock) =>
    cascade >= 0 && block.devices.length > 0 && way.indexOf(block) >= cascade;
  const stepsOf = (block: CompiledBlock): number => {
    if (block === amplifier) return RAIL_SUBSTEPS;
    if (!way.includes(block)) return 1;
    const isCascaded = isBehindCascade(block);
    if (isBare) return TRANSISTOR_SUBSTEPS[isCascaded ? 2 : Math.min(amplifyingTransistors(block), 2)]!;
    const cascaded = isCascaded ? cascadeSteps : 1;
    if (!hasEdges(block)) return cascaded;
    if (isHard(block)) return HARD_SUBSTEPS;
    return Math.max(cascaded, hasCrossover(block) ? CROSSOVER_SUBSTEPS : DIODE_SUBSTEPS);
  };
  return blocks.map((block) => {
    if (block.devices.some(({ opampIndex }) => resonant.has(opampIndex)))
      return { ...block, substeps: RESONANT_SUBSTEPS, formula: 'damped' };
    const least = clipping.includes(block) ? LIMITED_SUBSTEPS : 1;
    const substeps = Math.max(least, stepsOf(block));
    const isUsual = !restsAtLimit && (substeps <= DIODE_SUBSTEPS || (block === amplifier && !isLimited));
    const readsPins = substeps > 1 && !isUsual;
    const drawsMeans = hasEdges(block) && isHard(block);
    return { ...(readsPins ? withPins(block, opamps, rails) : block), substeps, drawsMeans };
  });
}

/**
 * A block that reads the supply pins of its op-amps as inputs, so that they are interpolated between samples: outputs at
 * their limits follow them. The usual blocks do without: there it takes 2.5 % of the time and errors are below -100 dB.
 */
function withPins(
  block: CompiledBlock,
  opamps: readonly CompiledOpamp[],
  rails: readonly CompiledRail[],
): CompiledBlock {
  const pins = block.devices.flatMap(({ opampIndex }) => {
    const opamp = opamps[opampIndex];
    return opamp ? [opamp.positive, opamp.negative] : [];
  });
  const moving = pins.filter((pin) => rails.some(({ node }) => node === pin));
  return { ...block, inputs: [...new Set([...block.inputs, ...moving])] };
}

function hasEdges({ devices }: CompiledBlock): boolean {
  return devices.some(({ kind }) => blockDeviceModel(kind).equations?.hasEdges);
}

/** Transistors whose collector or drain moves with the signal: the others are followers. */
function amplifyingTransistors({ devices, unknowns }: CompiledBlock): number {
  const outputOf = ({ kind, ports }: CompiledDevice): number => {
    if (kind === 'npn' || kind === 'pnp') return ports[1]!.minus;
    return kind === 'nJfet' || kind === 'pJfet' || kind === 'nMosfet' ? ports[1]!.plus : -1;
  };
  return devices.filter((device) => unknowns.includes(outputOf(device))).length;
}

/** Whether some op-amp's output reaches its inverting input through junctions alone. */
function hasCrossover({ unknowns, branches, states, devices }: CompiledBlock): boolean {
  return devices.some(({ outputNode, ports }) => {
    const minus = ports[0]!.minus;
    if (outputNode < 0 || minus === outputNode) return false;
    const within = new Set([...unknowns, outputNode]);
    const joined = new UnionFind(Math.max(...within) + 1);
    for (const { a, b } of [...branches, ...states]) if (within.has(a) && within.has(b)) joined.union(a, b);
    return within.has(minus) && joined.find(minus) !== joined.find(outputNode);
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
export function inputsWithin(
  { blocks, opamps, rails, inputIndex }: CompiledCircuit,
  block: CompiledBlock,
): number[] {
  const alike = blocks.filter(({ substeps }) => substeps === block.substeps);
  const stepped = new Set(alike.flatMap(writtenNodes));
  const moving = new Set([
    ...[inputIndex, ...blocks.flatMap(writtenNodes)],
    ...[...rails.map(({ node }) => node), ...opamps.map(({ loadNode }) => loadNode)],
  ]);
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
