import { type CompiledBlock, type CompiledCircuit, type CompiledDevice, DEVICE } from './compiled-circuit.ts';

/**
 * What clips makes edges far shorter than a sample, and a block that reads only samples of them hears them folded. So
 * blocks that can clip take two steps a sample, and what others read of them is decimated by
 *
 *   1 − (1 − z)³·(5 + 3z)/16,   z half a sample of delay
 *
 * which passes a parabola without delay and has a double zero where what is audible would fold: the taps are those of
 * the end of the sample, its middle, and the end and the middle before, and the end before those.
 */
export const DECIMATOR_TAPS = [11 / 16, 12 / 16, -6 / 16, -4 / 16, 3 / 16] as const;

/** Half a sample ago, of a smooth voltage: the parabola through its last three samples, the latest first. */
export const HALFWAY_TAPS = [3 / 8, 6 / 8, -1 / 8] as const;

/** How an input of a half-stepping block moves within a sample. */
export const WITHIN = {
  /** A supply: it stands still. */
  still: 0,
  /** Known at samples; half way it is interpolated. */
  smooth: 1,
  /** From a block that steps by halves itself: known half way too. */
  stepped: 2,
} as const;

/**
 * Chooses the blocks that step by halves: those on the signal's way that hold diodes; in a circuit without any, those
 * with an op-amp that amplifies, since then its rails clip. Decided by structure alone, so that a changed value needs
 * no new code.
 *
 * @param blocks In the order in which they are solved. @param inputIndex Node of the instrument.
 */
export function chooseHalfSteps(blocks: readonly CompiledBlock[], inputIndex: number): CompiledBlock[] {
  const way = signalBlocks(blocks, inputIndex);
  const clippers = way.filter(({ devices }) => devices.some(({ code }) => code === DEVICE.diode));
  const chosen = clippers.length > 0 ? clippers : way.filter(({ devices }) => devices.some(isAmplifier));
  return blocks.map((block) => (chosen.includes(block) ? { ...block, substeps: 2 } : block));
}

/** Blocks that the instrument reaches other than by way of the rails. */
function signalBlocks(blocks: readonly CompiledBlock[], inputIndex: number): CompiledBlock[] {
  const reached = new Set([inputIndex]);
  return blocks.filter((block) => {
    if (!block.inputs.some((node) => reached.has(node))) return false;
    for (const node of writtenNodes(block)) reached.add(node);
    return true;
  });
}

/** An op-amp that is no plain follower. */
function isAmplifier({ code, ports, outputNode }: CompiledDevice): boolean {
  return code === DEVICE.opamp && ports[0]!.minus !== outputNode;
}

/** Nodes whose voltage a block gives to others: its outputs, then its op-amps' outputs. */
export function writtenNodes({ outputs, devices }: CompiledBlock): number[] {
  return [...outputs, ...devices.flatMap(({ outputNode }) => (outputNode < 0 ? [] : [outputNode]))];
}

/** {@link WITHIN} of each of a block's inputs. */
export function inputsWithin({ blocks, rails, inputIndex }: CompiledCircuit, block: CompiledBlock): number[] {
  const stepped = new Set(blocks.filter(({ substeps }) => substeps === 2).flatMap(writtenNodes));
  const moving = new Set([inputIndex, ...rails.map(({ node }) => node), ...blocks.flatMap(writtenNodes)]);
  return block.inputs.map((node) => {
    if (stepped.has(node)) return WITHIN.stepped;
    return moving.has(node) ? WITHIN.smooth : WITHIN.still;
  });
}
