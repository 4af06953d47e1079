import type { Formula } from './formula.ts';
import type { NodeName } from './node.ts';
import type { PrimitiveBase } from './origin.ts';

/** A device in a network. */
export interface DevicePrimitive extends PrimitiveBase {
  readonly kind: string;
  readonly nodes: readonly NodeName[];
}

/** Conductance across every diode junction, S, so that no node between junctions floats. */
export const JUNCTION_MIN_S = 1e-12;
/** Largest conductance of a junction or channel without a series resistance, S: a short circuit. */
export const SHORT_S = 1e3;

/** Two terminals of a device, by their index in its nodes. */
export type TerminalPair = readonly [plus: number, minus: number];

/**
 * One kind of device, in a file of its own. The solver, the netlist, temperature and noise take everything that
 * they need to know of a device from here.
 */
export interface DeviceModel<P extends DevicePrimitive = DevicePrimitive> {
  /** Names of its parameters, as its equations use them. */
  readonly parameters: readonly string[];
  /** Their values, in that order. */
  readonly numbersOf: (primitive: P, temperatureK: number) => readonly number[];
  /** Text for what else, beside kind and nodes, decides the structure of the equations; usually ''. */
  readonly structureOf: (primitive: P) => string;
  /** Pairs of terminals between which direct current can flow. */
  readonly dcPaths: readonly TerminalPair[];
  /** Whether the same current flows in at one end and out at the other, so that it can be removed where one end is open. */
  readonly carriesOneCurrent: (primitive: P) => boolean;
  /** Largest conductance between pairs of its terminals, S; none where its terminals are current sources. */
  readonly conductanceBounds: (primitive: P) => readonly (readonly [...TerminalPair, siemens: number])[];
  /** The same device with its data, given at 27 °C, moved to another temperature. */
  readonly atTemperature: (primitive: P, temperatureK: number) => P;
  /** Its numbers as the netlist names them, in SI units. */
  readonly netlistWords: (primitive: P) => Readonly<Record<string, unknown>>;
  /** Its noise sources at the operating point. */
  readonly noiseSources: (primitive: P, rest: DeviceRest) => readonly DeviceNoise[];
  /** Pairs of terminals. The current through each depends on the voltages across all of them; a linear device has none. */
  readonly ports: readonly TerminalPair[];
  /** Present where there are ports. */
  readonly equations?: PortEquations;
  /** Charge of each port for what `structureOf` says; undefined if it stores none that moves with the voltage. */
  readonly chargesOf?: (structure: string) => PortCharges | undefined;
}

/** Currents of a device's ports as formulas of the voltages across them, and what Newton's method needs. */
export interface PortEquations {
  /**
   * Current of each port, A, from plus to minus. For an op-amp it is the output voltage after a step, which
   * also reads other inputs. @param v Voltages across the ports.
   */
  readonly currents: (v: readonly Formula[]) => readonly Formula[];
  /** The step of each port that Newton's method may take, V. @param v Voltages before it. @param step As Newton's method found it. */
  readonly limitedSteps: (v: readonly Formula[], step: readonly Formula[]) => readonly Formula[];
  /** Other formulas that are computed in every sample. */
  readonly others?: readonly Formula[];
  /** Exponential junctions; the search for the operating point limits their steps. */
  readonly junctions: readonly JunctionPlace[];
  /** Series resistance and parallel capacitance of a device of one port. */
  readonly series?: SeriesPlace;
  /** Whether it begins to conduct so suddenly that its block, if it is in the signal path, takes two steps a sample. */
  readonly hasEdges: boolean;
}

/**
 * Charge that each port holds, times a fixed factor. Its change is a current of the port beside those of `PortEquations`, and
 * flows through the series resistance as they do.
 *
 * @param v Voltages across the ports. @param scale The factor.
 */
export type PortCharges = (v: readonly Formula[], scale: Formula) => readonly Formula[];

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
  /** A first guess of the port's voltage from the voltage across port and resistance; Newton's method starts there. */
  readonly start: (v: Formula) => Formula;
}

/** A device at its operating point. */
export interface DeviceRest {
  readonly temperatureK: number;
  /** Of its terminals, V. */
  readonly volts: readonly number[];
  /** Of its ports, A. */
  readonly currents: readonly number[];
  /** Derivative of each port's current by the voltage across each port, S. */
  readonly slopes: readonly (readonly number[])[];
}

/** The physical kind of a noise source, as shown on the screen. */
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

/** Currents that one unit of a source draws from terminals, by their index. */
export type NoiseCurrents = readonly (readonly [terminal: number, weight: number])[];

/** One noise source of a device, not correlated with any other. */
export interface DeviceNoise {
  readonly kind: NoiseKind;
  /** Whether `density` is in V²/Hz (a voltage in series with the part) or in A²/Hz. */
  readonly unit: 'V' | 'A';
  /** Currents that one unit of it draws from terminals, by their index; 'input' for a voltage in series with an input. */
  readonly into: NoiseCurrents | 'input';
  /** One-sided squared density far above the corner frequency; at f it is (1 + cornerHz/f) times that. */
  readonly density: number;
  readonly cornerHz: number;
}
