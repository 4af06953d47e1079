import type { StepFormulaName } from './backward-difference.ts';
import type { BlockDeviceKind } from './block-devices.ts';
import type { Tape } from './tape.ts';

/**
 * Result of the compile phase for the audio thread: the structure of a circuit as plain data that can be posted
 * to another thread, and its numbers. Node indices point into the simulator's array of known voltages, in which
 * index 0 is ground and `unitIndex`, the last one, holds 1.
 */
export interface CompiledCircuit extends CircuitNumbers {
  /** Equal for two networks that differ in numbers only. */
  readonly structureKey: string;
  readonly nodeNames: readonly string[];
  readonly unitIndex: number;
  readonly inputIndex: number;
  readonly outputIndex: number;
  readonly sources: readonly { readonly node: number; readonly offset: number }[];
  /** Offsets of the resistances that are halves of potentiometers' tracks. */
  readonly tracks: readonly number[];
  readonly rails: readonly CompiledRail[];
  readonly opamps: readonly CompiledOpamp[];
  /** In the order in which they are solved within a sample. */
  readonly blocks: readonly CompiledBlock[];
  /** Rate for which the rails were found stable, Hz; the simulator runs at this rate. */
  readonly sampleRateHz: number;
  /** The sample loop as WebAssembly; undefined if it was not requested or is too large for any engine. */
  readonly module: WasmModule | undefined;
  /** The same as a tape, if there is no module. */
  readonly tape: Tape | undefined;
  /** The same for two circuits of this structure in step, if requested. */
  readonly pairModule: WasmModule | undefined;
}

/** Everything in a circuit that depends on the values of its parts, and not on its structure. */
export interface CircuitNumbers extends RestState {
  readonly parameters: Float64Array;
}

/** Operating point with these values. */
export interface RestState {
  /** Voltage of each node, V, ground first. */
  readonly restVolts: Float64Array;
  /** Current of each inductor, A, at the index of its inductance among the parameters; 0 elsewhere. */
  readonly restInductorA: Float64Array;
}

/** A compiled WebAssembly module; opaque here, since the engine's types know no browser. */
export type WasmModule = object;

/** A shared supply or bias node, advanced separately from the blocks on its own capacitance. */
export interface CompiledRail {
  readonly node: number;
  readonly capacitorOffsets: readonly number[];
}

/**
 * How the step of an op-amp whose limits follow the current out of its output comes to know this current:
 *
 *   none        not at all: no signal brings the output, or its current, to a limit
 *   predicted   the part i − G·v of it that does not follow the output within a step is extrapolated from the samples before
 *   solved      all that the output drives is solved in its block
 */
export type LoadKnowledge = 'none' | 'predicted' | 'solved';

export interface CompiledOpamp {
  /** Whether the range of its inputs is limited. */
  readonly isRanged: boolean;
  readonly plus: number;
  readonly minus: number;
  readonly out: number;
  readonly positive: number;
  readonly negative: number;
  readonly offset: number;
  /** Whether a block solves the voltage of a supply pin, and with it the supply current: see `opamp supply`. */
  readonly isSupplySolved: boolean;
  /** How its step comes to know the current out of its output, which moves its limits. */
  readonly load: LoadKnowledge;
  /**
   * If that is predicted: a node whose voltage is the predicted part of the current times SOURCED_OHMS, otherwise −1; and
   * the resistors of the load at its output.
   */
  readonly loadNode: number;
  readonly loadResistors: readonly { readonly far: number; readonly offset: number }[];
  /** Offsets of the input currents, of its own and of others, that flow from its output and that no block counts. */
  readonly loadBiases: readonly number[];
}

export interface CompiledBlock {
  /** Nodes solved for. */
  readonly unknowns: readonly number[];
  /** Known voltages (and the unit) that it reads. */
  readonly inputs: readonly number[];
  readonly branches: readonly CompiledBranch[];
  readonly states: readonly CompiledState[];
  readonly devices: readonly CompiledDevice[];
  /** Constant currents out of a node, A: the input bias currents of op-amps. */
  readonly constantCurrents: readonly { readonly node: number; readonly offset: number }[];
  /** Solved nodes that others read. */
  readonly outputs: readonly number[];
  /** Known nodes whose current into this block is counted. */
  readonly meteredNodes: readonly number[];
  /** Number of steps in a sample, and their formula; see substeps.ts. */
  readonly substeps: number;
  readonly formula: StepFormulaName;
  /** Whether its currents count with their means over a sample's steps, otherwise with their values at the end of the sample. */
  readonly drawsMeans: boolean;
  /** How its node equations are solved, if that is faster than by its ports; undefined for most blocks. */
  readonly nodal: NodalPlan | undefined;
}

/** One step of an elimination: the unknown that leaves, and those joined with it that leave later. By index among the unknowns. */
export interface NodalElimination {
  readonly node: number;
  readonly later: readonly number[];
}

/**
 * The order in which the node equations of a block are solved, for a block whose nodes are joined with few others: see
 * emit-nodal.ts.
 */
export interface NodalPlan {
  /** Nodes that no device touches, which are eliminated when a value changes. */
  readonly linear: readonly NodalElimination[];
  /** Nodes of devices, which are eliminated in every step. */
  readonly ported: readonly NodalElimination[];
  /** Pairs of unknowns joined by linear parts, directly or through eliminated nodes, and each unknown with itself. */
  readonly entries: readonly (readonly [number, number])[];
  /** Unknowns that linear parts join with an input, and the input. */
  readonly sides: readonly (readonly [node: number, input: number])[];
}

/**
 * Current (ratio·v_a − v_b)/R, `ratio` times out of a, and into b: a resistor if the ratio is 1, otherwise a
 * converter. The number at `offset` is R.
 */
export interface CompiledBranch {
  readonly a: number;
  readonly b: number;
  readonly offset: number;
  readonly ratio: number;
}

/** Capacitors in parallel, or one inductor. */
export interface CompiledState {
  readonly a: number;
  readonly b: number;
  readonly offsets: readonly number[];
  readonly inductive: boolean;
}

export interface CompiledDevice {
  readonly kind: BlockDeviceKind;
  readonly offset: number;
  /** Index of the resistance in series with its one port, −1 for none. */
  readonly seriesOffset: number;
  readonly ports: readonly CompiledPort[];
  /** Index among the circuit's op-amps, −1 for other devices. */
  readonly opampIndex: number;
  /** Node that an op-amp drives, −1 for other devices. */
  readonly outputNode: number;
}

/** Nodes of a port's voltage and of its current. */
export interface CompiledPort {
  readonly plus: number;
  readonly minus: number;
  /** Nodes that the current leaves and enters; unused for an op-amp, whose port gives a voltage. */
  readonly from: number;
  readonly to: number;
  /** Node whose current into the block, times SOURCED_OHMS, is used as the port's voltage; −1 for none. */
  readonly metered: number;
  /** Place of a conductance that a load has beside what that block solves, S; −1 for none. */
  readonly loadOffset: number;
}
