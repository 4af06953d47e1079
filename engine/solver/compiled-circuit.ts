import type { DeviceKind } from '../devices/devices.ts';
import type { Tape } from './tape.ts';

/**
 * What the compile phase leaves for the audio thread: the structure of a circuit as plain data that can
 * be posted to another thread, and the numbers that go with it. Node indices point into the simulator's
 * array of known voltages, in which index 0 is ground, `unitIndex` holds 1, and behind it stand the
 * supply currents of each op-amp.
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
  /** The sample loop as WebAssembly; undefined where it was not asked for or no engine would take it. */
  readonly module: WasmModule | undefined;
  /** The same as a tape, where there is no module. */
  readonly tape: Tape | undefined;
  /** The same for two circuits of this structure in step, where it was asked for. */
  readonly pairModule: WasmModule | undefined;
}

/** What of a circuit depends on the values of its parts: all that changes when one does, while the structure stays. */
export interface CircuitNumbers extends RestState {
  readonly parameters: Float64Array;
}

/** Where a circuit stands with these values and no input. */
export interface RestState {
  /** Voltage of each node, V, ground first. */
  readonly restVolts: Float64Array;
  /** Current of each inductor, A, in the place of its inductance among the parameters; 0 in all others. */
  readonly restInductorA: Float64Array;
}

/** A compiled WebAssembly module; opaque here, since the engine's types know no browser. */
export type WasmModule = object;

/** A shared supply or bias node, advanced beside the blocks on its own capacitance. */
export interface CompiledRail {
  readonly node: number;
  readonly capacitorOffsets: readonly number[];
}

export interface CompiledOpamp {
  /** Whether its inputs have a range that ends before its output's. */
  readonly isRanged: boolean;
  readonly plus: number;
  readonly minus: number;
  readonly out: number;
  readonly positive: number;
  readonly negative: number;
  readonly offset: number;
  /** Where the simulator keeps the current drawn from the positive pin in the sample before, A. */
  readonly drawIndex: number;
  /** The same for the current returned to the negative pin. */
  readonly returnIndex: number;
}

export interface CompiledBlock {
  /** Nodes solved for. */
  readonly unknowns: readonly number[];
  /** Known voltages (and the unit, and supply draws) that it reads. */
  readonly inputs: readonly number[];
  readonly branches: readonly CompiledBranch[];
  readonly states: readonly CompiledState[];
  readonly devices: readonly CompiledDevice[];
  /** Constant currents out of a node, A, such as an op-amp's input current. */
  readonly drains: readonly { readonly node: number; readonly offset: number }[];
  /** Supply currents of op-amps that leave (sign +1) or enter (−1) a node that is solved for. */
  readonly draws: readonly { readonly node: number; readonly inputIndex: number; readonly sign: number }[];
  /** Solved nodes that others read. */
  readonly outputs: readonly number[];
  /** Known nodes whose current into this block is counted. */
  readonly meteredNodes: readonly number[];
  /** Steps that it takes in a sample; see substeps.ts. */
  readonly substeps: number;
}

/**
 * Current (ratio·v_a − v_b)/R, taken ratio-fold from a and put into b: a resistor with ratio 1, else a
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
  readonly kind: DeviceKind;
  readonly offset: number;
  /** Place of the resistance in series with its one port, −1 where it has none. */
  readonly seriesOffset: number;
  /** Plus and minus node of each port. */
  readonly ports: readonly { readonly plus: number; readonly minus: number }[];
  /** Index among the circuit's op-amps, −1 for other devices. */
  readonly opampIndex: number;
  /** Node that an op-amp drives, −1 for other devices. */
  readonly outputNode: number;
}

/**
 * Where an op-amp's supply pin is no rail but solved with a block, its supply current of the sample before stands
 * for this one's, smoothed over this time: a large resistance in an unfiltered supply would otherwise make the two
 * chase each other. A circuit with a usual supply filter has rails and is not touched by this.
 */
const SUPPLY_SMOOTHING_S = 1e-3;

/** Share of the way that a smoothed supply current goes in a sample. */
export function supplyDrawShare({ sampleRateHz }: CompiledCircuit): number {
  return 1 - Math.exp(-1 / (SUPPLY_SMOOTHING_S * sampleRateHz));
}
