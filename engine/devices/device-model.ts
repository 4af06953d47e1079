import type { Formula } from './formula.ts';
import type { NodeName } from './node.ts';
import type { PrimitiveBase } from './origin.ts';

/** A device as it stands in a network. */
export interface DevicePrimitive extends PrimitiveBase {
  readonly kind: string;
  readonly nodes: readonly NodeName[];
}

/** Conductance across every diode junction, so that no node between junctions floats, S. */
export const JUNCTION_MIN_S = 1e-12;
/** Conductance that a device is taken to show a supply at most, S: 2.6 mA through a junction. */
export const DEVICE_CONDUCTANCE_S = 0.1;

/** Two terminals of a device, by their places among its nodes. */
export type TerminalPair = readonly [plus: number, minus: number];

/**
 * One kind of device, written once, in a file of its own: the solver, the netlist, the temperature and the noise of a
 * network know of it what stands here.
 */
export interface DeviceModel<P extends DevicePrimitive = DevicePrimitive> {
  /** Names of its numbers, by which its equations call them. */
  readonly parameters: readonly string[];
  /** Their values, in that order. */
  readonly numbersOf: (primitive: P, temperatureK: number) => readonly number[];
  /** What beside its kind and nodes decides the structure of the equations, as text; '' for nothing. */
  readonly structureOf: (primitive: P) => string;
  /** Pairs of terminals between which direct current can flow. */
  readonly dcPaths: readonly TerminalPair[];
  /** Whether one current flows through it from end to end, so that it can be left out where one end is open. */
  readonly carriesOneCurrent: (primitive: P) => boolean;
  /** Conductance that it can show one of its nodes at most, S. */
  readonly conductanceBoundS: (primitive: P, terminal: number) => number;
  /** The same with its data, which are given at 27 °C, at another temperature. */
  readonly atTemperature: (primitive: P, temperatureK: number) => P;
  /** Its numbers in the words of the netlist, in SI units. */
  readonly netlistWords: (primitive: P) => Readonly<Record<string, unknown>>;
  /** Its sources of noise at rest. */
  readonly noiseSources: (primitive: P, rest: DeviceRest) => readonly DeviceNoise[];
  /** Pairs of terminals, a current through each of which depends on the voltages across all; none of a linear device. */
  readonly ports: readonly TerminalPair[];
  /** Present where there are ports. */
  readonly equations?: PortEquations;
}

/** Currents of a device's ports as formulas of the voltages across them, and what Newton's method has to know of it. */
export interface PortEquations {
  /**
   * Of each port, A, from plus to minus; an op-amp's is its output voltage after a step, for which it also reads inputs of
   * its own. @param v Voltages across the ports.
   */
  readonly currents: (v: readonly Formula[]) => readonly Formula[];
  /** Of each port, how far a step of Newton's method may go, V. @param v Before it. @param step As it was found. */
  readonly limitedSteps: (v: readonly Formula[], step: readonly Formula[]) => readonly Formula[];
  /** What else is computed of it in every sample. */
  readonly others?: readonly Formula[];
  /** Exponential junctions, of which the rest state limits the steps. */
  readonly junctions: readonly JunctionPlace[];
  /** What a device of one port has in series with it and beside it. */
  readonly series?: SeriesPlace;
  /** Whether it conducts so suddenly that a block with it, where the signal passes, takes two steps a sample. */
  readonly hasEdges: boolean;
}

/** An exponential junction between two terminals, and the names of its numbers. */
export interface JunctionPlace {
  readonly plus: number;
  readonly minus: number;
  /** −1 where it conducts from `minus` to `plus`. */
  readonly polarity: 1 | -1;
  readonly saturationA: string;
  readonly emissionV: string;
}

export interface SeriesPlace {
  /** Name of the resistance in series with the port, ohms. */
  readonly ohms: string;
  /** Name of the capacitance across both, F. */
  readonly farads: string;
  /** A voltage of the port near that which stands across both, from which Newton's method finds it. */
  readonly start: (v: Formula) => Formula;
}

/** A device at its rest state. */
export interface DeviceRest {
  readonly temperatureK: number;
  /** Of its terminals, V. */
  readonly volts: readonly number[];
  /** Of its ports, A. */
  readonly currents: readonly number[];
  /** ∂ of each port's current by the voltage across each, S. */
  readonly slopes: readonly (readonly number[])[];
}

/** The physical kind of a source of noise, in the words of the screen. */
export type NoiseKind =
  | 'thermal noise'
  | 'voltage noise'
  | 'current noise'
  | 'shot noise'
  | 'base resistance noise'
  | 'collector shot noise'
  | 'base shot noise'
  | 'channel noise'
  | 'gate shot noise';

/** Currents that one unit of a source draws out of terminals, by their places. */
export type NoiseCurrents = readonly (readonly [terminal: number, weight: number])[];

/** One source of noise of a device, unrelated to all others. */
export interface DeviceNoise {
  readonly kind: NoiseKind;
  /** Whether `density` is in V²/Hz (a voltage in series with the part) or in A²/Hz. */
  readonly unit: 'V' | 'A';
  /** Currents that one unit of it draws out of terminals, by their places; or that it stands in series with an input. */
  readonly into: NoiseCurrents | 'input';
  /** Squared density far above the corner, one-sided; at f it is (1 + cornerHz/f) times that. */
  readonly density: number;
  readonly cornerHz: number;
}
