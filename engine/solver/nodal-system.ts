import { GROUND, type NodeName } from '../devices/node.ts';
import type { Network } from '../network/network.ts';
import { GROUND_INDEX, type NodalStructure, nodalStructure, type PlacedOpamp } from './nodal-structure.ts';
import { quiescentTape } from './opamp-pins.ts';
import { networkParameters, placeOf } from './parameters.ts';
import type { SparsePattern } from './sparse-pattern.ts';

const INPUT_BIAS = placeOf('opamp', 'inputBiasA');
const GAIN_BANDWIDTH = placeOf('opamp', 'gainBandwidthRadPerS');

/**
 * The whole network as one system of nodal equations, F(v) + C·dv/dt + Γ·∫v dt = 0, one row a node: Kirchhoff's current
 * law, except at sources (v = E) and op-amp outputs (the op-amp's own equation, divided by its gain-bandwidth). It is
 * solved whole, without blocks, and serves operating point, small signal and noise; the transient solver is tested against it.
 *
 * The structure is found once. Its matrices are sparse, and its numbers can be set anew: all but the constructor allocate
 * nothing.
 *
 * @see Ho, Ruehli & Brennan, "The modified nodal approach to network analysis", IEEE Trans. CAS-22 (1975)
 */
export class NodalSystem {
  readonly structure: NodalStructure;
  readonly nodeNames: readonly NodeName[];
  /** How many equations; further rows of the pattern are the current law at op-amps' outputs. */
  readonly size: number;
  readonly pattern: SparsePattern;
  /** F(v) of the last `evaluate`, A (V at source and op-amp rows). */
  readonly residual: Float64Array;
  /** ∂F/∂v of the last `evaluate`, by the pattern's places. */
  readonly jacobian: Float64Array;
  /** C, F (s at op-amp rows), and Γ, 1/H, of the last `evaluate`. */
  readonly capacitance: Float64Array;
  readonly reciprocalInductance: Float64Array;
  /** The numbers as they stand. */
  readonly parameters: Float64Array;
  /**
   * Current of each inductor from its first to its second node, A, and its additional conductance, S; zero
   * until the caller sets them.
   */
  readonly inductorA: Float64Array;
  readonly inductorS: Float64Array;
  /** 1 for each row that is Kirchhoff's current law, in A; the others are in V. */
  readonly currentLaw: Uint8Array;
  readonly #indexOf: ReadonlyMap<NodeName, number>;
  /** By node: the supply pin that carried the current of the op-amp's output there in the last `evaluate`. */
  readonly #carriers: Int32Array;
  /** By op-amp: the slope of its own equation by the current out of its output in the last `evaluate`. */
  readonly #loadSlopes: Float64Array;
  /** C and Γ before what stands at op-amps' outputs is moved to their supplies. */
  readonly #nodeCapacitance: Float64Array;
  readonly #nodeReciprocal: Float64Array;
  /** Of each junction: n·V_T and the voltage above which its exponential needs care, V. */
  readonly #emissionV: Float64Array;
  readonly #criticalV: Float64Array;
  readonly #quiescent = quiescentTape();

  /** @throws RangeError where `parameters` are not as many as the network has. */
  constructor(network: Network, parameters: Float64Array = networkParameters(network)) {
    this.structure = nodalStructure(network);
    const { nodeNames, pattern, lawRows, groundRow, inductors, junctions, parameterCount } = this.structure;
    this.nodeNames = nodeNames;
    this.size = nodeNames.length;
    this.pattern = pattern;
    this.#indexOf = new Map(nodeNames.map((name, index) => [name, index]));
    this.residual = new Float64Array(groundRow + 1);
    this.jacobian = new Float64Array(pattern.count);
    this.capacitance = new Float64Array(pattern.count);
    this.reciprocalInductance = new Float64Array(pattern.count);
    this.#nodeCapacitance = new Float64Array(pattern.count);
    this.#nodeReciprocal = new Float64Array(pattern.count);
    this.parameters = new Float64Array(parameterCount);
    this.inductorA = new Float64Array(inductors.length);
    this.inductorS = new Float64Array(inductors.length);
    this.currentLaw = Uint8Array.from(lawRows, (row, node) => (row === node ? 1 : 0));
    this.#carriers = new Int32Array(this.size).fill(GROUND_INDEX);
    this.#loadSlopes = new Float64Array(this.structure.opamps.length);
    this.#emissionV = new Float64Array(junctions.length);
    this.#criticalV = new Float64Array(junctions.length);
    this.setParameters(parameters);
  }

  has(name: NodeName): boolean {
    return name === GROUND || this.#indexOf.has(name);
  }

  /** Index of a node, −1 for ground. @throws RangeError for a node that the network does not have. */
  indexOf(name: NodeName): number {
    if (name === GROUND) return GROUND_INDEX;
    const index = this.#indexOf.get(name);
    if (index === undefined) throw new RangeError(`the network has no net "${name}"`);
    return index;
  }

  /**
   * Sets every number of the network.
   *
   * @param parameters See `networkParameters`. Copied. @throws RangeError where there are more or fewer of them.
   */
  setParameters(parameters: Float64Array): void {
    const { parameterCount, capacitors, inductors } = this.structure;
    if (parameters.length !== parameterCount)
      throw new RangeError(`${parameters.length} numbers for a network that has ${parameterCount}`);
    this.parameters.set(parameters);
    this.#nodeCapacitance.fill(0);
    this.#nodeReciprocal.fill(0);
    for (const { offset, places } of capacitors) addSlope(this.#nodeCapacitance, places, parameters[offset]!);
    for (const { offset, places } of inductors)
      addSlope(this.#nodeReciprocal, places, 1 / parameters[offset]!);
    this.#limitJunctions();
  }

  #limitJunctions(): void {
    const { junctions } = this.structure;
    for (let index = 0; index < junctions.length; index++) {
      const { saturationOffset, emissionOffset } = junctions[index]!;
      const emissionV = this.parameters[emissionOffset]!;
      const saturationA = this.parameters[saturationOffset]!;
      this.#emissionV[index] = emissionV;
      this.#criticalV[index] = emissionV * Math.log(emissionV / (Math.SQRT2 * saturationA));
    }
  }

  /**
   * The row for a current into a node: that of the node itself; at an op-amp's output that of the supply pin
   * which carries it; −1 if an ideal source takes it. Valid after `evaluate`.
   */
  currentRowOf(node: number): number {
    if (node < 0) return GROUND_INDEX;
    if (this.currentLaw[node] === 1) return node;
    const carrier = this.#carriers[node]!;
    return carrier === node ? GROUND_INDEX : this.currentRowOf(carrier);
  }

  /** Fills residual and matrices at node voltages `v` with the input held at `inputV`. */
  evaluate(v: Float64Array, inputV: number): void {
    this.residual.fill(0);
    this.jacobian.fill(0);
    this.capacitance.set(this.#nodeCapacitance);
    this.reciprocalInductance.set(this.#nodeReciprocal);
    this.#stampBranches(v);
    this.#stampInductors(v);
    this.#stampDevices(v);
    const { opamps, sources, input } = this.structure;
    for (let index = 0; index < opamps.length; index++) this.#stampBias(opamps[index]!, v);
    for (let index = 0; index < opamps.length; index++) this.#stampOpamp(index, v);
    for (let index = 0; index < sources.length; index++) {
      const { node, offset } = sources[index]!;
      this.#fix(node, v, this.parameters[offset]!);
    }
    this.#fix(input, v, inputV);
  }

  /** Current that a source at a node gave in the last `evaluate`, A. */
  currentFrom(node: number): number {
    return this.residual[this.#lawRow(node)]!;
  }

  /**
   * The largest share of the step from `v` to `v + step` that moves no junction further than its
   * exponential can follow.
   *
   * @see L. W. Nagel, UCB/ERL M520 (1975), junction voltage limiting
   */
  limitedShare(v: Float64Array, step: Float64Array): number {
    const { junctions } = this.structure;
    let share = 1;
    for (let index = 0; index < junctions.length; index++) {
      const { plus, minus, polarity } = junctions[index]!;
      const emissionV = this.#emissionV[index]!;
      const criticalV = this.#criticalV[index]!;
      const before = polarity * (at(v, plus) - at(v, minus));
      const change = polarity * (at(step, plus) - at(step, minus));
      const after = before + change;
      if (after <= criticalV || change <= 2 * emissionV) continue;
      const from = Math.max(before, criticalV - 2 * emissionV);
      const allowed = from + emissionV * Math.log1p(Math.max(after - from, 0) / emissionV);
      share = Math.min(share, Math.max(allowed - before, 2 * emissionV) / change);
    }
    return share;
  }

  #lawRow(node: number): number {
    return node < 0 ? this.structure.groundRow : this.structure.lawRows[node]!;
  }

  #fix(node: number, v: Float64Array, volts: number): void {
    if (node < 0) return;
    this.residual[node] = v[node]! - volts;
    this.jacobian[this.structure.diagonal[node]!] = 1;
  }

  #stampBranches(v: Float64Array): void {
    const { residual, jacobian, parameters } = this;
    const { branches } = this.structure;
    for (let index = 0; index < branches.length; index++) {
      const { a, b, ratio, offset, places } = branches[index]!;
      const siemens = 1 / parameters[offset]!;
      const amps = siemens * (ratio * at(v, a) - at(v, b));
      residual[this.#lawRow(a)]! += ratio * amps;
      residual[this.#lawRow(b)]! -= amps;
      jacobian[places[0]]! += ratio * ratio * siemens;
      jacobian[places[1]]! -= ratio * siemens;
      jacobian[places[2]]! -= ratio * siemens;
      jacobian[places[3]]! += siemens;
    }
  }

  #stampInductors(v: Float64Array): void {
    const { residual } = this;
    const { inductors } = this.structure;
    for (let index = 0; index < inductors.length; index++) {
      const { a, b, places } = inductors[index]!;
      const amps = this.inductorA[index]! + this.inductorS[index]! * (at(v, a) - at(v, b));
      residual[this.#lawRow(a)]! += amps;
      residual[this.#lawRow(b)]! -= amps;
      addSlope(this.jacobian, places, this.inductorS[index]!);
    }
  }

  #stampDevices(v: Float64Array): void {
    const { residual, jacobian, parameters } = this;
    const { devices } = this.structure;
    for (let index = 0; index < devices.length; index++) {
      const { device, offset, plus, minus, places } = devices[index]!;
      const ports = plus.length;
      for (let port = 0; port < ports; port++) {
        device.volts[port] = at(v, plus[port]!) - at(v, minus[port]!);
      }
      device.evaluate(parameters, offset);
      for (let port = 0; port < ports; port++) {
        residual[this.#lawRow(plus[port]!)]! += device.currents[port]!;
        residual[this.#lawRow(minus[port]!)]! -= device.currents[port]!;
      }
      for (let entry = 0; entry < places.length; entry++) {
        addSlope(jacobian, places[entry]!, device.slopes[entry]!);
      }
      for (let entry = 0; entry < device.farads.length; entry++) {
        addSlope(this.capacitance, places[entry]!, device.farads[entry]!);
      }
    }
  }

  /** What its inputs take, and what it draws from one supply pin to the other. */
  #stampBias({ pins, offset, quiescentPlaces }: PlacedOpamp, v: Float64Array): void {
    const { residual, parameters } = this;
    const quiescent = this.#quiescent;
    residual[this.#lawRow(pins[0]!)]! += parameters[offset + INPUT_BIAS]!;
    residual[this.#lawRow(pins[1]!)]! += parameters[offset + INPUT_BIAS]!;
    quiescent.inputs[0] = at(v, pins[3]!) - at(v, pins[4]!);
    quiescent.run(parameters, offset);
    residual[this.#lawRow(pins[3]!)]! += quiescent.outputs[0]!;
    residual[this.#lawRow(pins[4]!)]! -= quiescent.outputs[0]!;
    addSlope(this.jacobian, quiescentPlaces, quiescent.outputs[1]!);
  }

  /** Moves what its output is loaded with to the supply pin that gives it, and writes the op-amp's own equation. */
  #stampOpamp(index: number, v: Float64Array): void {
    const opamp = this.structure.opamps[index]!;
    const { residual, jacobian, parameters } = this;
    const { pins, offset, own, ownPlaces } = opamp;
    const out = pins[2]!;
    const sourced = residual[this.#lawRow(out)]!;
    const carrier = sourced > 0 ? pins[3]! : pins[4]!;
    this.#carriers[out] = carrier;
    residual[this.#lawRow(carrier)]! += sourced;
    move(jacobian, opamp, sourced > 0);
    move(this.capacitance, opamp, sourced > 0);
    move(this.reciprocalInductance, opamp, sourced > 0);
    for (let pin = 0; pin < ownPlaces.length; pin++) own.inputs[pin] = at(v, pins[pin]!);
    if (opamp.readsLoad) own.inputs[ownPlaces.length] = sourced;
    own.run(parameters, offset);
    residual[out] = own.outputs[0]!;
    for (let pin = 0; pin < ownPlaces.length; pin++) jacobian[ownPlaces[pin]!]! += own.outputs[1 + pin]!;
    if (opamp.readsLoad) {
      this.#loadSlopes[index] = own.outputs[1 + ownPlaces.length]!;
      addShares(jacobian, opamp, this.#loadSlopes[index]!);
    }
    this.capacitance[this.structure.diagonal[out]!] = 1 / parameters[offset + GAIN_BANDWIDTH]!;
  }

  /**
   * Adds to the last `evaluate` what capacitors and inductors take from the limits of op-amps that are loaded with them. The search
   * for the operating point does without: there they carry no current in the end, and on the way too much.
   */
  completeLoads(): void {
    const { capacitance, reciprocalInductance, structure } = this;
    const { opamps } = structure;
    for (let index = 0; index < opamps.length; index++) {
      addShares(capacitance, opamps[index]!, this.#loadSlopes[index]!);
      addShares(reciprocalInductance, opamps[index]!, this.#loadSlopes[index]!);
    }
  }
}

function at(v: Float64Array, node: number): number {
  return node < 0 ? 0 : v[node]!;
}

function addSlope(
  matrix: Float64Array,
  places: readonly [number, number, number, number],
  slope: number,
): void {
  matrix[places[0]]! += slope;
  matrix[places[1]]! -= slope;
  matrix[places[2]]! -= slope;
  matrix[places[3]]! += slope;
}

/** Adds entries of the current law at an output, times a slope, to the op-amp's own equation. */
function addShares(matrix: Float64Array, { outputPlaces, toOwn }: PlacedOpamp, slope: number): void {
  for (let index = 0; index < toOwn.length; index++)
    matrix[toOwn[index]!]! += slope * matrix[outputPlaces[index]!]!;
}

function move(
  matrix: Float64Array,
  { outputPlaces, toPositive, toNegative }: PlacedOpamp,
  isSourced: boolean,
): void {
  const to = isSourced ? toPositive : toNegative;
  for (let index = 0; index < to.length; index++) matrix[to[index]!]! += matrix[outputPlaces[index]!]!;
}
