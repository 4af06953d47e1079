import type { Arena } from './arena.ts';
import { isCharged } from './block-devices.ts';
import type { CompiledBlock } from './compiled-circuit.ts';
import { derivedPlaces } from './device-functions.ts';
import { writtenNodes } from './substeps.ts';

/** Entries of a block's counters. A failure is a step that did not converge, or a set of values that cannot be solved. */
export const COUNTER = { iterations: 0, failures: 1, resets: 2 } as const;

/**
 * All numbers of one block that change while it runs, in one arena, at addresses that emitted code knows. z =
 * [q̂, u, g]: weighted past of the states, known inputs, and port currents and op-amp outputs of the present
 * sample.
 */
export class BlockMemory {
  readonly stateCount: number;
  readonly inputCount: number;
  readonly portCount: number;
  /** Length of z. */
  readonly width: number;
  /**
   * Of a block that is solved by its node equations, see NodalPlan: G_c of each state, conductances beside inputs, and those
   * between unknowns, S. These three and the rows lie one after the other; RowRamp relies on that.
   */
  readonly nodalStates: Float64Array;
  readonly nodalSides: Float64Array;
  readonly nodalMatrix: Float64Array;
  /** What NodalCoefficients makes of the matrix. */
  readonly nodalFactors: Float64Array;
  /** Rows over z, row-major; see BlockCoefficients. */
  readonly portRows: Float64Array;
  readonly stateRows: Float64Array;
  readonly outputRows: Float64Array;
  readonly meterRows: Float64Array;
  /** One row: the voltage of the probed node, if this block has it. By node equations it is over unknowns and inputs. */
  readonly probeRow: Float64Array;
  /** Values that depend only on the devices' parameters, see `derivedPlaces`. */
  readonly deviceConstants: Float64Array;
  /** Three for each state: the voltage of a capacitor (V) or current of an inductor (A) one, two and three samples ago. */
  readonly stateHistory: Float64Array;
  /** Port voltages of the last three steps, V. */
  readonly voltages: Float64Array;
  readonly lastVoltages: Float64Array;
  readonly earlierVoltages: Float64Array;
  /** Three for each op-amp: its output one, two and three samples ago, V; unused by other devices. */
  readonly opampHistory: Float64Array;
  /** One number: the output of the block's only op-amp after the last step to which a jump was added, V, see emit-opamp-jump.ts. */
  readonly opampJumps: Float64Array;
  /** Three for each port that holds a charge: r/T times the charge one, two and three steps ago, A. See `firstCharges`. */
  readonly chargeHistory: Float64Array;
  /** In a block of several steps a sample: two for each input, its voltage one and two samples ago, V. */
  readonly inputPast: Float64Array;
  /** In such a block: for each written node its voltage at the steps of the previous sample and at the last step of the one before, the latest first, V. */
  readonly writtenPast: Float64Array;
  /** Of the same: two for each metered node, the sum of its current over the steps of the last sample and the one before, A; no numbers behind a reset. */
  readonly drawnPast: Float64Array;
  /** See {@link COUNTER}; counted in doubles, as emitted code does. */
  readonly counters: Float64Array;

  constructor(block: CompiledBlock, arena: Arena) {
    this.stateCount = block.states.length;
    this.inputCount = block.inputs.length;
    this.portCount = block.devices.reduce((sum, { ports }) => sum + ports.length, 0);
    this.width = this.stateCount + this.inputCount + this.portCount;
    this.nodalStates = arena.allocate(block.nodal ? this.stateCount : 0);
    this.nodalSides = arena.allocate(block.nodal?.sides.length ?? 0);
    this.nodalMatrix = arena.allocate(block.nodal?.entries.length ?? 0);
    this.portRows = arena.allocate(this.portCount * this.width);
    this.stateRows = arena.allocate(this.stateCount * this.width);
    this.outputRows = arena.allocate(block.outputs.length * this.width);
    this.meterRows = arena.allocate(block.meteredNodes.length * this.width);
    const read = block.nodal ? block.unknowns.length + this.inputCount : this.width;
    this.probeRow = arena.allocate(read);
    this.nodalFactors = arena.allocate(block.nodal?.entries.length ?? 0);
    this.deviceConstants = arena.allocate(derivedPlaces(block).count);
    this.stateHistory = arena.allocate(3 * this.stateCount);
    this.voltages = arena.allocate(this.portCount);
    this.lastVoltages = arena.allocate(this.portCount);
    this.earlierVoltages = arena.allocate(this.portCount);
    this.opampHistory = arena.allocate(3 * block.devices.length);
    this.opampJumps = arena.allocate(1);
    this.chargeHistory = arena.allocate(3 * chargeCount(block));
    const hasSubsteps = block.substeps > 1;
    this.inputPast = arena.allocate(hasSubsteps ? 2 * this.inputCount : 0);
    this.writtenPast = arena.allocate(hasSubsteps ? (block.substeps + 1) * writtenNodes(block).length : 0);
    this.drawnPast = arena.allocate(hasSubsteps ? 2 * block.meteredNodes.length : 0);
    this.counters = arena.allocate(3);
  }

  /** The arrays that a sample changes and the next sample reads. */
  get moving(): readonly Float64Array[] {
    return [
      ...[
        this.stateHistory,
        this.opampHistory,
        this.opampJumps,
        this.chargeHistory,
        this.inputPast,
        this.writtenPast,
        this.drawnPast,
        this.counters,
      ],
      ...[this.voltages, this.lastVoltages, this.earlierVoltages],
    ];
  }
}

/** Index of each device's first port. */
export function firstPorts(block: CompiledBlock): number[] {
  let next = 0;
  return block.devices.map(({ ports }) => {
    const first = next;
    next += ports.length;
    return first;
  });
}

/** Index of each device's first charge in the history; the next device's if it holds none. */
export function firstCharges(block: CompiledBlock): number[] {
  let next = 0;
  return block.devices.map(({ kind, ports }) => {
    const first = next;
    if (isCharged(kind)) next += ports.length;
    return first;
  });
}

function chargeCount({ devices }: CompiledBlock): number {
  return devices.reduce((sum, { kind, ports }) => sum + (isCharged(kind) ? ports.length : 0), 0);
}
