import { blockDeviceModel } from './block-devices.ts';
import type { CompiledBlock, CompiledCircuit } from './compiled-circuit.ts';

/**
 * The numbers of a circuit while they glide to their targets, and the blocks that have to follow. The changed
 * numbers are found once, when a target is set, so that a step handles only these.
 *
 * Real-time safe except the constructor.
 */
export class GlidingValues {
  readonly #parameters: Float64Array;
  readonly #target: Float64Array;
  /** Numbers that differ from their target; how many, in the one entry of `movingCount`. */
  readonly #moving: Int32Array;
  readonly #movingCount = new Int32Array(1);
  /** blocks × numbers: 1 where the block's rows, or its devices, depend on the number. */
  readonly #rowUse: Uint8Array;
  readonly #deviceUse: Uint8Array;
  /** 1 if a number changes linearly. */
  readonly #isLinear: Uint8Array;
  readonly #movesRows: Uint8Array;
  readonly #movesDevices: Uint8Array;

  /** @param parameters The present numbers, changed by `step`. */
  constructor(circuit: CompiledCircuit, parameters: Float64Array) {
    this.#parameters = parameters;
    this.#target = Float64Array.from(parameters);
    this.#moving = new Int32Array(parameters.length);
    this.#isLinear = Uint8Array.from(parameters, (_, index) => (circuit.tracks.includes(index) ? 1 : 0));
    this.#rowUse = numberUse(circuit, rowOffsets);
    this.#deviceUse = numberUse(circuit, deviceOffsets);
    this.#movesRows = new Uint8Array(circuit.blocks.length);
    this.#movesDevices = new Uint8Array(circuit.blocks.length);
  }

  /** @param target Same layout as the numbers. Copied. */
  aim(target: Float64Array): void {
    this.#target.set(target);
    this.#movesRows.fill(0);
    this.#movesDevices.fill(0);
    let count = 0;
    for (let index = 0; index < this.#parameters.length; index++) {
      if (this.#parameters[index] === this.#target[index]) continue;
      this.#moving[count++] = index;
      this.#markBlocks(index);
    }
    this.#movingCount[0] = count;
  }

  #markBlocks(index: number): void {
    const length = this.#parameters.length;
    for (let block = 0; block < this.#movesRows.length; block++) {
      if (this.#rowUse[block * length + index] === 1) this.#movesRows[block] = 1;
      if (this.#deviceUse[block * length + index] === 1) this.#movesDevices[block] = 1;
    }
  }

  /** Whether a block's rows change on the way to the target. */
  movesRows(block: number): boolean {
    return this.#movesRows[block] === 1;
  }

  /** Whether the stored values of a block's devices change on the way to the target. */
  movesDevices(block: number): boolean {
    return this.#movesDevices[block] === 1;
  }

  /**
   * Moves the changed numbers by one step: positive numbers geometrically, so that parts of any size change at
   * the same relative rate; others and the halves of a track linearly, so that a potentiometer keeps its total
   * resistance.
   *
   * @param stepsLeft Steps that follow; 0 takes the numbers to their target exactly.
   */
  step(stepsLeft: number): void {
    const parameters = this.#parameters;
    const share = 1 / (stepsLeft + 1);
    for (let entry = 0; entry < this.#movingCount[0]!; entry++) {
      const index = this.#moving[entry]!;
      const from = parameters[index]!;
      const to = this.#target[index]!;
      if (stepsLeft === 0) parameters[index] = to;
      else if (from > 0 && to > 0 && this.#isLinear[index] === 0)
        parameters[index] = from * (to / from) ** share;
      else parameters[index] = from + (to - from) * share;
    }
  }
}

function numberUse(
  { blocks, parameters }: CompiledCircuit,
  offsetsOf: (block: CompiledBlock) => number[],
): Uint8Array {
  const uses = new Uint8Array(blocks.length * parameters.length);
  blocks.forEach((block, index) => {
    for (const offset of offsetsOf(block)) uses[index * parameters.length + offset] = 1;
  });
  return uses;
}

/** Of a device, only the series resistance and a conductance at its output affect the rows. */
function rowOffsets({ branches, states, constantCurrents, devices }: CompiledBlock): number[] {
  return [
    ...branches.map(({ offset }) => offset),
    ...states.flatMap(({ offsets }) => offsets),
    ...constantCurrents.map(({ offset }) => offset),
    ...devices.filter(({ seriesOffset }) => seriesOffset >= 0).map(({ seriesOffset }) => seriesOffset),
    ...devices
      .flatMap(({ ports }) => ports.map(({ loadOffset }) => loadOffset))
      .filter((place) => place >= 0),
  ];
}

function deviceOffsets({ devices }: CompiledBlock): number[] {
  return devices.flatMap(({ kind, offset }) =>
    blockDeviceModel(kind).parameters.map((_, place) => offset + place),
  );
}
