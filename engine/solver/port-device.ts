import { type DeviceKind, deviceModel } from '../devices/devices.ts';
import { derivative, type Formula, input, number } from '../devices/formula.ts';
import { deviceFunctions, VOLTS } from './device-functions.ts';
import { FormulaTape } from './formula-tape.ts';
import { placeOf } from './parameters.ts';

const MOST_ITERATIONS = 100;

/**
 * The port currents of one kind of device, computed with numbers at the voltages across its terminals. Not for
 * the audio thread: the voltage across a series resistance is found by Newton's method; in the transient solver
 * the voltage after it is the unknown.
 */
export class PortDevice {
  /** Voltages across the ports, V; to be set before `evaluate`. */
  readonly volts: Float64Array;
  /** Of the last `evaluate`: each port's current, A, and row by row its derivatives by all voltages, S. */
  readonly currents: Float64Array;
  readonly slopes: Float64Array;
  /** Row by row the derivatives of each port's charge by all voltages, F; none if its ports hold no charge. */
  readonly farads: Float64Array;
  /** Voltages across the ports without their series resistances, V. */
  readonly innerVolts: Float64Array;
  readonly #tape: FormulaTape;
  readonly #start: FormulaTape | undefined;
  readonly #seriesPlace: number;

  private constructor(kind: DeviceKind, structure: string) {
    const { ports, parameters, equations, chargesOf } = deviceModel(kind);
    const { currents, slopes } = deviceFunctions(kind);
    const names = VOLTS.slice(0, ports.length);
    const volts = names.map((name) => input(name));
    const charges: readonly Formula[] = chargesOf?.(structure)?.(volts, number(1)) ?? [];
    const farads = charges.flatMap((charge) => volts.map((v) => derivative(charge, v)));
    this.#tape = new FormulaTape([...currents, ...slopes.flat(), ...farads], names, parameters);
    const series = equations?.series;
    this.#seriesPlace = series ? placeOf(kind, series.ohms) : -1;
    this.#start = series && new FormulaTape([series.start(input(VOLTS[0]))], [VOLTS[0]], parameters);
    this.volts = new Float64Array(ports.length);
    this.currents = new Float64Array(ports.length);
    this.slopes = new Float64Array(ports.length ** 2);
    this.farads = new Float64Array(farads.length);
    this.innerVolts = this.#tape.inputs;
  }

  static readonly #known = new Map<string, PortDevice>();

  /** @param structure See `structureOf`: decides whether and how its ports hold charges. */
  static of(kind: DeviceKind, structure = ''): PortDevice {
    const key = `${kind} ${structure}`;
    const known = PortDevice.#known.get(key) ?? new PortDevice(kind, structure);
    PortDevice.#known.set(key, known);
    return known;
  }

  /** @param offset Where the device's numbers begin. */
  evaluate(parameters: Float64Array, offset: number): void {
    const { inputs, outputs } = this.#tape;
    const count = this.volts.length;
    inputs.set(this.volts);
    if (this.#start) this.#solveSeries(this.#start, parameters, offset);
    else this.#tape.run(parameters, offset);
    for (let port = 0; port < count; port++) this.currents[port] = outputs[port]!;
    for (let entry = 0; entry < count ** 2; entry++) this.slopes[entry] = outputs[count + entry]!;
    for (let entry = 0; entry < this.farads.length; entry++)
      this.farads[entry] = outputs[count + count ** 2 + entry]!;
    if (!this.#start) return;
    const stiffness = 1 + parameters[offset + this.#seriesPlace]! * this.slopes[0]!;
    this.slopes[0]! /= stiffness;
    // To first order in the frequency: (g + jωC)/(1 + R·(g + jωC)) = g/(1 + R·g) + jωC/(1 + R·g)² + ...
    if (this.farads.length > 0) this.farads[0]! /= stiffness * stiffness;
  }

  /** Solves v = vj + R·i(vj) for vj and evaluates the device there. */
  #solveSeries(start: FormulaTape, parameters: Float64Array, offset: number): void {
    const { inputs, outputs } = this.#tape;
    const ohms = parameters[offset + this.#seriesPlace]!;
    const volts = this.volts[0]!;
    start.inputs[0] = volts;
    start.run(parameters, offset);
    inputs[0] = start.outputs[0]!;
    for (let iteration = 0; iteration < MOST_ITERATIONS; iteration++) {
      this.#tape.run(parameters, offset);
      const step = (inputs[0] + ohms * outputs[0]! - volts) / (1 + ohms * outputs[1]!);
      inputs[0] -= step;
      if (Math.abs(step) < 1e-15 + 1e-14 * Math.abs(inputs[0])) break;
    }
    this.#tape.run(parameters, offset);
  }
}
