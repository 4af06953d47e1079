import {
  GROUND,
  JUNCTION_MIN_S,
  type Network,
  type NodeName,
  OPAMP_STARTING_V,
  type Primitive,
} from '../network/network.ts';
import { bipolar, commonModeShift, fieldEffect, junction, opampRate } from './device-equations.ts';
import { DIODE, networkParameters, OPAMP, parametersOf } from './parameters.ts';

interface Junction {
  readonly plus: number;
  readonly minus: number;
  readonly emissionV: number;
  readonly criticalV: number;
  readonly polarity: number;
}

interface PlacedPrimitive {
  readonly primitive: Primitive;
  readonly nodes: readonly number[];
  readonly offset: number;
  /** Index among the inductors, −1 for other primitives. */
  readonly inductor: number;
}

/** Row of ground in node indices. */
const GROUND_INDEX = -1;

/**
 * The whole network as one system of nodal equations, F(v) + C·dv/dt = 0, one row a node:
 * Kirchhoff's current law, except at sources (v = E) and op-amp outputs (the op-amp's own equation,
 * divided by its gain-bandwidth). It is solved whole, without blocks, and serves the operating point and
 * the small signal; the transient solver is held against it.
 *
 * @see Ho, Ruehli & Brennan, "The modified nodal approach to network analysis", IEEE Trans. CAS-22 (1975)
 */
export class NodalSystem {
  readonly nodeNames: readonly NodeName[];
  readonly size: number;
  /** F(v) of the last `evaluate`, A (V at source and op-amp rows). */
  readonly residual: Float64Array;
  /** ∂F/∂v of the last `evaluate`, row-major. */
  readonly jacobian: Float64Array;
  /** Capacitance matrix, F (s at op-amp rows), row-major. */
  readonly capacitance: Float64Array;
  readonly inductors: readonly {
    readonly a: number;
    readonly b: number;
    readonly henries: number;
    readonly ref: string;
  }[];
  /**
   * Current of each inductor from its first to its second node, A, without and what it conducts besides, S; zero
   * until the one who solves sets them.
   */
  readonly inductorA: Float64Array;
  readonly inductorS: Float64Array;
  /** 1 for each row that is Kirchhoff's current law, in A; the others are in V. */
  readonly currentLaw: Uint8Array;
  readonly #placed: readonly PlacedPrimitive[];
  readonly #parameters: Float64Array;
  readonly #indexOf: ReadonlyMap<NodeName, number>;
  readonly #input: number;
  readonly #junctions: readonly Junction[];
  readonly #device = new Float64Array(6);
  readonly #range = new Float64Array(4);
  /** By op-amp output: the supply pin that carried its current in the last `evaluate`. */
  readonly #carrierOf = new Map<number, number>();

  constructor(network: Network, parameters: Float64Array = networkParameters(network)) {
    const names = new Set<NodeName>([network.input]);
    for (const primitive of network.primitives) for (const node of primitive.nodes) names.add(node);
    names.delete(GROUND);
    this.nodeNames = [...names];
    this.size = this.nodeNames.length;
    this.#indexOf = new Map(this.nodeNames.map((name, index) => [name, index]));
    this.#parameters = parameters;
    let offset = 0;
    let inductors = 0;
    this.#placed = network.primitives.map((primitive) => {
      const nodes = primitive.nodes.map((node) => this.indexOf(node));
      const inductor = primitive.kind === 'inductor' ? inductors++ : -1;
      const placed = { primitive, offset, nodes, inductor };
      offset += parametersOf(primitive, network.temperatureK).length;
      return placed;
    });
    this.#input = this.indexOf(network.input);
    this.residual = new Float64Array(this.size);
    this.jacobian = new Float64Array(this.size * this.size);
    this.capacitance = new Float64Array(this.size * this.size);
    this.inductors = this.#placed.flatMap(({ primitive, nodes, offset }) =>
      primitive.kind === 'inductor'
        ? [{ a: nodes[0]!, b: nodes[1]!, henries: parameters[offset]!, ref: primitive.ref }]
        : [],
    );
    this.inductorA = new Float64Array(this.inductors.length);
    this.inductorS = new Float64Array(this.inductors.length);
    this.#junctions = this.#placed.flatMap((placed) => junctionsOf(placed, parameters));
    this.currentLaw = Uint8Array.from(this.nodeNames, (_, row) => (this.isCurrentLaw(row) ? 1 : 0));
    this.#stampCapacitances();
  }

  /** Index of a node, −1 for ground. @throws RangeError for a node that the network does not have. */
  indexOf(name: NodeName): number {
    if (name === GROUND) return GROUND_INDEX;
    const index = this.#indexOf.get(name);
    if (index === undefined) throw new RangeError(`the network has no net "${name}"`);
    return index;
  }

  /** Whether the row of a node is Kirchhoff's current law: not at the input, a source or an op-amp's output. */
  isCurrentLaw(row: number): boolean {
    const isDriven = ({ primitive, nodes }: PlacedPrimitive) =>
      (primitive.kind === 'voltageSource' && nodes[0] === row) ||
      (primitive.kind === 'opamp' && nodes[2] === row);
    return row >= 0 && row !== this.#input && !this.#placed.some(isDriven);
  }

  /**
   * The row in which a current into a node shows: that of the node itself, at an op-amp's output that of the supply
   * pin which carries it, −1 where an ideal source takes it. Valid after `evaluate`.
   */
  currentRowOf(node: number): number {
    const carrier = this.#carrierOf.get(node);
    if (carrier !== undefined && carrier !== node) return this.currentRowOf(carrier);
    return this.isCurrentLaw(node) ? node : GROUND_INDEX;
  }

  /** Fills `residual` and `jacobian` at node voltages `v` with the input held at `inputV`. */
  evaluate(v: Float64Array, inputV: number): void {
    this.residual.fill(0);
    this.jacobian.fill(0);
    for (const placed of this.#placed) this.#stampStatic(placed, v);
    for (const placed of this.#placed) if (placed.primitive.kind === 'opamp') this.#stampOpamp(placed, v);
    for (const { primitive, nodes, offset } of this.#placed) {
      if (primitive.kind === 'voltageSource') this.#fix(nodes[0]!, v, this.#parameters[offset]!);
    }
    this.#fix(this.#input, v, inputV);
  }

  /** Current that leaves a node into everything on it but op-amp outputs, A. Valid before rows are replaced. */
  supplyCurrentA(v: Float64Array, ref: string): number {
    this.residual.fill(0);
    this.jacobian.fill(0);
    for (const placed of this.#placed) this.#stampStatic(placed, v);
    for (const placed of this.#placed) if (placed.primitive.kind === 'opamp') this.#stampOpamp(placed, v);
    const source = this.#placed.find(({ primitive }) => primitive.ref === ref);
    return source ? this.residual[source.nodes[0]!]! : 0;
  }

  /**
   * The largest share of the step from `v` to `v + step` that moves no junction further than its
   * exponential can follow.
   *
   * @see L. W. Nagel, SPICE2 (UCB/ERL M520, 1975), junction voltage limiting
   */
  limitedShare(v: Float64Array, step: Float64Array): number {
    let share = 1;
    for (const { plus, minus, emissionV, criticalV, polarity } of this.#junctions) {
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

  #fix(node: number, v: Float64Array, volts: number): void {
    this.residual[node] = v[node]! - volts;
    this.jacobian.fill(0, node * this.size, (node + 1) * this.size);
    this.jacobian[node * this.size + node] = 1;
  }

  /** Adds current `amps` that flows from node a through an element to node b. */
  #flow(a: number, b: number, amps: number): void {
    if (a >= 0) this.residual[a]! += amps;
    if (b >= 0) this.residual[b]! -= amps;
  }

  /** Adds d(current a→b)/d(v_plus − v_minus). */
  #slope(a: number, b: number, plus: number, minus: number, siemens: number): void {
    this.#entry(a, plus, siemens);
    this.#entry(a, minus, -siemens);
    this.#entry(b, plus, -siemens);
    this.#entry(b, minus, siemens);
  }

  #entry(row: number, column: number, value: number): void {
    if (row >= 0 && column >= 0) this.jacobian[row * this.size + column]! += value;
  }

  #stampStatic({ primitive, nodes, offset, inductor }: PlacedPrimitive, v: Float64Array): void {
    const parameters = this.#parameters;
    const device = this.#device;
    const [a = 0, b = 0, c = 0] = nodes;
    switch (primitive.kind) {
      case 'resistor': {
        const siemens = 1 / parameters[offset]!;
        this.#flow(a, b, siemens * (at(v, a) - at(v, b)));
        this.#slope(a, b, a, b, siemens);
        return;
      }
      case 'inductor': {
        const siemens = this.inductorS[inductor]!;
        this.#flow(a, b, this.inductorA[inductor]! + siemens * (at(v, a) - at(v, b)));
        this.#slope(a, b, a, b, siemens);
        return;
      }
      case 'converter':
        this.#stampConverter(primitive.ratio, 1 / parameters[offset]!, a, b, v);
        return;
      case 'diode': {
        seriesDiode(parameters, offset, at(v, a) - at(v, b), device);
        this.#flow(a, b, device[0]!);
        this.#slope(a, b, a, b, device[1]!);
        return;
      }
      case 'npn':
      case 'pnp': {
        const polarity = primitive.kind === 'npn' ? 1 : -1;
        bipolar(parameters, offset, polarity, at(v, b) - at(v, c), at(v, b) - at(v, a), device, 0);
        this.#stampTwoPorts(b, c, b, a);
        return;
      }
      case 'nJfet':
      case 'nMosfet': {
        fieldEffect(parameters, offset, at(v, b) - at(v, c), at(v, a) - at(v, c), device, 0);
        this.#stampTwoPorts(b, c, a, c);
        return;
      }
      case 'opamp': {
        const bias = parameters[offset + OPAMP.inputBiasA]!;
        this.#flow(a, GROUND_INDEX, bias);
        this.#flow(b, GROUND_INDEX, bias);
      }
    }
  }

  /** i = G·(ratio·v_supply − v_out) into `out`, ratio·i out of `supply`. */
  #stampConverter(ratio: number, siemens: number, supply: number, out: number, v: Float64Array): void {
    const amps = siemens * (ratio * at(v, supply) - at(v, out));
    this.#flow(supply, GROUND_INDEX, ratio * amps);
    this.#flow(out, GROUND_INDEX, -amps);
    this.#entry(supply, supply, ratio * ratio * siemens);
    this.#entry(supply, out, -ratio * siemens);
    this.#entry(out, supply, -ratio * siemens);
    this.#entry(out, out, siemens);
  }

  #stampTwoPorts(a1: number, b1: number, a2: number, b2: number): void {
    const device = this.#device;
    this.#flow(a1, b1, device[0]!);
    this.#flow(a2, b2, device[1]!);
    this.#slope(a1, b1, a1, b1, device[2]!);
    this.#slope(a1, b1, a2, b2, device[3]!);
    this.#slope(a2, b2, a1, b1, device[4]!);
    this.#slope(a2, b2, a2, b2, device[5]!);
  }

  /** Moves the load of the output to the supply pin, then puts the op-amp's own equation in its row. */
  #stampOpamp({ primitive, nodes, offset }: PlacedPrimitive, v: Float64Array): void {
    const [plus = 0, minus = 0, out = 0, positive = 0, negative = 0] = nodes;
    const parameters = this.#parameters;
    const device = this.#device;
    const size = this.size;
    const quiescent = parameters[offset + OPAMP.quiescentA]!;
    const supplied = (at(v, positive) - at(v, negative)) / OPAMP_STARTING_V;
    this.#flow(positive, negative, quiescent * Math.min(1, Math.max(0, supplied)));
    if (supplied > 0 && supplied < 1) {
      this.#slope(positive, negative, positive, negative, quiescent / OPAMP_STARTING_V);
    }
    const sourced = this.residual[out]!;
    const carrier = sourced > 0 ? positive : negative;
    this.#carrierOf.set(out, carrier);
    if (carrier >= 0) {
      this.residual[carrier]! += sourced;
      for (let column = 0; column < size; column++) {
        this.jacobian[carrier * size + column]! += this.jacobian[out * size + column]!;
      }
    }
    const high = at(v, positive) - parameters[offset + OPAMP.headroomHighV]!;
    const low = at(v, negative) + parameters[offset + OPAMP.headroomLowV]!;
    const range = this.#range;
    range.fill(0);
    if (primitive.kind === 'opamp' && primitive.data.commonMode) {
      commonModeShift(parameters, offset, at(v, plus), at(v, positive), at(v, negative), range, 0);
    }
    const vd = at(v, plus) - at(v, minus) + range[0]!;
    opampRate(parameters, offset, vd, v[out]!, high, low, device, 0);
    const scale = -1 / parameters[offset + OPAMP.gainBandwidthRadPerS]!;
    this.jacobian.fill(0, out * size, (out + 1) * size);
    this.residual[out] = scale * device[0]!;
    this.#entry(out, plus, scale * device[1]! * (1 + range[1]!));
    this.#entry(out, minus, -scale * device[1]!);
    this.#entry(out, out, scale * device[2]!);
    this.#entry(out, positive, scale * (device[3]! + device[1]! * range[2]!));
    this.#entry(out, negative, scale * (device[4]! + device[1]! * range[3]!));
  }

  #stampCapacitances(): void {
    const size = this.size;
    const add = (row: number, column: number, value: number) => {
      if (row >= 0 && column >= 0) this.capacitance[row * size + column]! += value;
    };
    for (const { primitive, nodes, offset } of this.#placed) {
      const [a = 0, b = 0] = nodes;
      if (primitive.kind !== 'capacitor' && primitive.kind !== 'diode') continue;
      const farads = this.#parameters[primitive.kind === 'diode' ? offset + DIODE.farads : offset]!;
      add(a, a, farads);
      add(b, b, farads);
      add(a, b, -farads);
      add(b, a, -farads);
    }
    for (let row = 0; row < size; row++)
      if (!this.isCurrentLaw(row)) this.capacitance.fill(0, row * size, (row + 1) * size);
    for (const { primitive, nodes, offset } of this.#placed) {
      if (primitive.kind !== 'opamp') continue;
      const out = nodes[2]!;
      this.capacitance[out * size + out] = 1 / this.#parameters[offset + OPAMP.gainBandwidthRadPerS]!;
    }
  }
}

function at(v: Float64Array, node: number): number {
  return node < 0 ? 0 : v[node]!;
}

/**
 * Current and conductance of a diode string with series resistance at its terminal voltage: solves
 * v = vj + R_S·i(vj) for vj. Off the audio thread only; the transient keeps vj as its unknown.
 */
export function seriesDiode(
  parameters: Float64Array,
  offset: number,
  voltage: number,
  out: Float64Array,
): void {
  const saturationA = parameters[offset + DIODE.saturationA]!;
  const emissionV = parameters[offset + DIODE.emissionV]!;
  const seriesOhms = parameters[offset + DIODE.seriesOhms]!;
  const onset = emissionV * Math.log1p(Math.max(voltage, 0) / (seriesOhms * saturationA + 1e-300));
  let vj = voltage > onset ? onset : voltage;
  for (let iteration = 0; iteration < 100; iteration++) {
    junction(saturationA, emissionV, JUNCTION_MIN_S, vj, out, 0);
    const step = (vj + seriesOhms * out[0]! - voltage) / (1 + seriesOhms * out[1]!);
    vj -= step;
    if (Math.abs(step) < 1e-15 + 1e-14 * Math.abs(vj)) break;
  }
  junction(saturationA, emissionV, JUNCTION_MIN_S, vj, out, 0);
  out[1] = out[1]! / (1 + seriesOhms * out[1]!);
}

function junctionsOf({ primitive, nodes, offset }: PlacedPrimitive, parameters: Float64Array): Junction[] {
  const [a = 0, b = 0, c = 0] = nodes;
  const make = (plus: number, minus: number, saturationA: number, emissionV: number, polarity: number) => ({
    plus,
    minus,
    emissionV,
    criticalV: emissionV * Math.log(emissionV / (Math.SQRT2 * saturationA)),
    polarity,
  });
  const saturationA = parameters[offset]!;
  switch (primitive.kind) {
    case 'diode':
      // With its series resistance the terminal voltage needs no limit: seriesDiode solves it exactly.
      return [make(a, b, saturationA, parameters[offset + DIODE.emissionV]!, 1)];
    case 'npn':
    case 'pnp': {
      const vt = parameters[offset + 4]!;
      const polarity = primitive.kind === 'npn' ? 1 : -1;
      return [make(b, c, saturationA, vt, polarity), make(b, a, saturationA, vt, polarity)];
    }
    case 'nJfet': {
      const vt = parameters[offset + 4]!;
      const gateA = parameters[offset + 3]!;
      return [make(b, c, gateA, vt, 1), make(b, a, gateA, vt, 1)];
    }
    default:
      return [];
  }
}
