import { type DeviceKind, deviceModel, isDevice } from '../devices/devices.ts';
import { GROUND, type NodeName } from '../devices/node.ts';
import type { Network, Primitive } from '../network/network.ts';
import { pinTape, quiescentTape } from './opamp-pins.ts';
import { capacitancePlace, networkParameters, parametersOf, placeOf } from './parameters.ts';
import { PortDevice } from './port-device.ts';

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

const INPUT_BIAS = placeOf('opamp', 'inputBiasA');
const GAIN_BANDWIDTH = placeOf('opamp', 'gainBandwidthRadPerS');

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
    const [a = 0, b = 0] = nodes;
    const value = this.#parameters[offset]!;
    switch (primitive.kind) {
      case 'resistor':
        this.#stampBranch(1, 1 / value, a, b, v);
        return;
      case 'converter':
        this.#stampBranch(primitive.ratio, 1 / value, a, b, v);
        return;
      case 'inductor': {
        const siemens = this.inductorS[inductor]!;
        this.#flow(a, b, this.inductorA[inductor]! + siemens * (at(v, a) - at(v, b)));
        this.#slope(a, b, a, b, siemens);
        return;
      }
      case 'opamp': {
        const bias = this.#parameters[offset + INPUT_BIAS]!;
        this.#flow(a, GROUND_INDEX, bias);
        this.#flow(b, GROUND_INDEX, bias);
        return;
      }
      case 'capacitor':
      case 'voltageSource':
        return;
      default:
        this.#stampPorts(primitive.kind, nodes, offset, v);
    }
  }

  /** i = G·(ratio·v_a − v_b) into b, ratio·i out of a: a resistor where the ratio is 1, else a converter. */
  #stampBranch(ratio: number, siemens: number, a: number, b: number, v: Float64Array): void {
    const amps = siemens * (ratio * at(v, a) - at(v, b));
    this.#flow(a, GROUND_INDEX, ratio * amps);
    this.#flow(b, GROUND_INDEX, -amps);
    this.#entry(a, a, ratio * ratio * siemens);
    this.#entry(a, b, -ratio * siemens);
    this.#entry(b, a, -ratio * siemens);
    this.#entry(b, b, siemens);
  }

  #stampPorts(kind: DeviceKind, nodes: readonly number[], offset: number, v: Float64Array): void {
    const device = PortDevice.of(kind);
    const { ports } = deviceModel(kind);
    const count = ports.length;
    for (let port = 0; port < count; port++) {
      const [plus, minus] = ports[port]!;
      device.volts[port] = at(v, nodes[plus]!) - at(v, nodes[minus]!);
    }
    device.evaluate(this.#parameters, offset);
    for (let port = 0; port < count; port++) {
      const [plus, minus] = ports[port]!;
      this.#flow(nodes[plus]!, nodes[minus]!, device.currents[port]!);
      for (let by = 0; by < count; by++) {
        const [byPlus, byMinus] = ports[by]!;
        const siemens = device.slopes[count * port + by]!;
        this.#slope(nodes[plus]!, nodes[minus]!, nodes[byPlus]!, nodes[byMinus]!, siemens);
      }
    }
  }

  /** Moves the load of the output to the supply pin, then puts the op-amp's own equation in its row. */
  #stampOpamp({ primitive, nodes, offset }: PlacedPrimitive, v: Float64Array): void {
    const [, , out = 0, positive = 0, negative = 0] = nodes;
    const parameters = this.#parameters;
    const size = this.size;
    const quiescent = quiescentTape();
    quiescent.inputs[0] = at(v, positive) - at(v, negative);
    quiescent.run(parameters, offset);
    this.#flow(positive, negative, quiescent.outputs[0]!);
    this.#slope(positive, negative, positive, negative, quiescent.outputs[1]!);
    const sourced = this.residual[out]!;
    const carrier = sourced > 0 ? positive : negative;
    this.#carrierOf.set(out, carrier);
    if (carrier >= 0) {
      this.residual[carrier]! += sourced;
      for (let column = 0; column < size; column++) {
        this.jacobian[carrier * size + column]! += this.jacobian[out * size + column]!;
      }
    }
    const own = pinTape(primitive.kind === 'opamp' && primitive.data.commonMode !== undefined);
    for (let pin = 0; pin < own.inputs.length; pin++) own.inputs[pin] = at(v, nodes[pin]!);
    own.run(parameters, offset);
    this.jacobian.fill(0, out * size, (out + 1) * size);
    this.residual[out] = own.outputs[0]!;
    for (let pin = 0; pin < own.inputs.length; pin++) this.#entry(out, nodes[pin]!, own.outputs[1 + pin]!);
  }

  #stampCapacitances(): void {
    const size = this.size;
    const add = (row: number, column: number, value: number) => {
      if (row >= 0 && column >= 0) this.capacitance[row * size + column]! += value;
    };
    for (const { primitive, nodes, offset } of this.#placed) {
      const [a = 0, b = 0] = nodes;
      const place = capacitancePlace(primitive);
      if (place < 0) continue;
      const farads = this.#parameters[offset + place]!;
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
      this.capacitance[out * size + out] = 1 / this.#parameters[offset + GAIN_BANDWIDTH]!;
    }
  }
}

function at(v: Float64Array, node: number): number {
  return node < 0 ? 0 : v[node]!;
}

function junctionsOf({ primitive, nodes, offset }: PlacedPrimitive, parameters: Float64Array): Junction[] {
  if (!isDevice(primitive)) return [];
  const { kind } = primitive;
  // With its series resistance the terminal voltage needs no limit: PortDevice solves it exactly.
  const junctions = deviceModel(kind).equations?.junctions ?? [];
  return junctions.map(({ plus, minus, polarity, ...names }) => {
    const saturationA = parameters[offset + placeOf(kind, names.saturationA)]!;
    const emissionV = parameters[offset + placeOf(kind, names.emissionV)]!;
    const criticalV = emissionV * Math.log(emissionV / (Math.SQRT2 * saturationA));
    return { plus: nodes[plus]!, minus: nodes[minus]!, emissionV, criticalV, polarity };
  });
}
