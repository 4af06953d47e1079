import { deviceModel, isDevice } from '../devices/devices.ts';
import { GROUND, type NodeName } from '../devices/node.ts';
import type { Network } from '../network/network.ts';
import { STEP_FORMULAS } from './backward-difference.ts';
import type { CompiledRail } from './compiled-circuit.ts';
import { capacitancePlace, parametersOf, placeOf } from './parameters.ts';
import { type Element, isCapacitorToGround } from './partition.ts';

/**
 * A rail is advanced separately from the blocks if step·conductance/capacitance is below this. The explicit
 * step that it uses is stable up to 0.54 on the real axis; a tenth leaves a margin for gliding values.
 */
const RAIL_STABILITY_LIMIT = 0.1;
/**
 * Third-order Adams-Bashforth step of a rail: v −= T/C·Σ w_k·i_(n−k), i the current out of it.
 *
 * @see E. Hairer, S. P. Nørsett, G. Wanner, Solving Ordinary Differential Equations I (1993), section III.1
 */
export const RAIL_WEIGHTS = [23 / 12, -16 / 12, 5 / 12] as const;
const GROUND_INDEX = 0;
const GAIN_BANDWIDTH = placeOf('opamp', 'gainBandwidthRadPerS');

/** Nodes that no block solves: ground, input, rails, and outputs of sources and op-amps. */
export function heldNodes(
  inputIndex: number,
  elements: readonly Element[],
  rails: readonly CompiledRail[],
): ReadonlySet<number> {
  return new Set([GROUND_INDEX, inputIndex, ...drivenNodes(elements), ...rails.map(({ node }) => node)]);
}

function drivenNodes(elements: readonly Element[]): number[] {
  return elements.flatMap(({ primitive, nodes }) =>
    primitive.kind === 'voltageSource' ? [nodes[0]!] : primitive.kind === 'opamp' ? [nodes[2]!] : [],
  );
}

/**
 * Chooses the rails that are constant within a sample and advanced after it: those whose capacitance is large compared with
 * the largest conductance that the circuit can have at them while it runs.
 *
 * This is the conductance with every part at its largest, after all nodes that blocks solve are eliminated. It is an upper
 * bound, because a larger conductance anywhere never makes the whole smaller (Rayleigh's monotonicity law). A resistor in
 * series with a diode is part of it.
 *
 * @see P. G. Doyle, J. L. Snell, Random Walks and Electric Networks (1984), section 1.4
 */
export function compileRails(
  network: Network,
  elements: readonly Element[],
  indexOf: ReadonlyMap<NodeName, number>,
  sampleRateHz: number,
): ChosenRails {
  const driven = new Set(drivenNodes(elements));
  const candidates = network.rails.flatMap((name): Candidate[] => {
    const node = indexOf.get(name);
    if (node === undefined || driven.has(node) || name === GROUND) return [];
    const capacitors = elements.filter((element) => isCapacitorToGround(element, node));
    return capacitors.length > 0 ? [{ node, capacitors }] : [];
  });
  if (candidates.length === 0) return { rails: [], hard: new Set() };
  const held = new Set([
    ...[GROUND_INDEX, indexOf.get(network.input)!, ...driven],
    ...candidates.map(({ node }) => node),
  ]);
  const own = new Set(candidates.flatMap(({ capacitors }) => capacitors));
  const others = elements.filter((element) => !own.has(element));
  const shownBy = (parts: readonly Element[]) =>
    new ShownConductances(parts, network.temperatureK, indexOf.size, held, sampleRateHz);
  const isStill = (shown: ShownConductances, { node, capacitors }: Candidate) => {
    const farads = capacitors.reduce(
      (sum, { primitive }) => sum + (primitive.kind === 'capacitor' ? primitive.farads : 0),
      0,
    );
    return shown.mostAt(node) <= RAIL_STABILITY_LIMIT * sampleRateHz * farads;
  };
  const whole = shownBy(others);
  const [still, moving] = [true, false].map((wanted) =>
    candidates.filter((candidate) => isStill(whole, candidate) === wanted),
  );
  const rails = still!.map(({ node, capacitors }) => ({
    node,
    capacitorOffsets: capacitors.map(({ offset }) => offset),
  }));
  if (moving!.length === 0) return { rails, hard: new Set() };
  const bare = shownBy(others.filter(({ primitive }) => primitive.kind !== 'diode'));
  const hard = moving!.filter((candidate) => isStill(bare, candidate)).map(({ node }) => node);
  return { rails, hard: new Set(hard) };
}

interface Candidate {
  readonly node: number;
  readonly capacitors: readonly Element[];
}

export interface ChosenRails {
  readonly rails: CompiledRail[];
  /** Nodes that would be rails if diodes could not have such a large conductance at them. */
  readonly hard: ReadonlySet<number>;
}

/** Largest conductances of a circuit between its held nodes, for one length of the step. */
class ShownConductances {
  readonly #elements: readonly Element[];
  readonly #temperatureK: number;
  readonly #size: number;
  readonly #stepRateHz: number;
  /** Nodal conductances, S, row-major; rows and columns of nodes that are not held are eliminated. */
  readonly #matrix: Float64Array;

  constructor(
    elements: readonly Element[],
    temperatureK: number,
    size: number,
    held: ReadonlySet<number>,
    sampleRateHz: number,
  ) {
    this.#elements = elements;
    this.#temperatureK = temperatureK;
    this.#size = size;
    this.#stepRateHz = STEP_FORMULAS.third.rate * sampleRateHz;
    this.#matrix = new Float64Array(size * size);
    for (const element of elements) this.#stamp(element);
    for (let node = 0; node < size; node++) if (!held.has(node)) this.#eliminate(node);
  }

  /**
   * Largest conductance at a rail, S: of the parts on it; of the load of an op-amp that it supplies, whose output at its
   * limit follows the supply; and of an output that follows the rail through its inputs, as far as it gets in one step.
   */
  mostAt(rail: number): number {
    let siemens = this.#between(rail, rail);
    for (const { primitive, nodes } of this.#elements) {
      if (primitive.kind !== 'opamp') continue;
      const out = nodes[2]!;
      const joined = -this.#between(rail, out);
      if (nodes.indexOf(rail, 3) > 0) siemens += this.#between(out, out) + 2 * joined;
      const bandwidth = parametersOf(primitive, this.#temperatureK)[GAIN_BANDWIDTH]!;
      siemens += (joined * bandwidth) / this.#stepRateHz;
    }
    return siemens;
  }

  #between(a: number, b: number): number {
    return this.#matrix[a * this.#size + b]!;
  }

  #stamp({ primitive, nodes }: Element): void {
    const [a = 0, b = 0] = nodes;
    const capacitance = capacitancePlace(primitive);
    if (capacitance >= 0) {
      const farads = parametersOf(primitive, this.#temperatureK)[capacitance]!;
      this.#add(a, b, farads * this.#stepRateHz, 1);
    }
    if (primitive.kind === 'resistor') this.#add(a, b, 1 / primitive.ohms, 1);
    else if (primitive.kind === 'inductor') this.#add(a, b, 1 / (primitive.henries * this.#stepRateHz), 1);
    else if (primitive.kind === 'converter') this.#add(a, b, 1 / primitive.outputOhms, primitive.ratio);
    else if (isDevice(primitive)) {
      for (const [plus, minus, siemens] of deviceModel(primitive.kind).conductanceBounds(primitive))
        this.#add(nodes[plus]!, nodes[minus]!, siemens, 1);
    }
  }

  /** A conductance that carries (ratio·v_a − v_b), ratio-fold at a. */
  #add(a: number, b: number, siemens: number, ratio: number): void {
    this.#matrix[a * this.#size + a]! += ratio * ratio * siemens;
    this.#matrix[b * this.#size + b]! += siemens;
    this.#matrix[a * this.#size + b]! -= ratio * siemens;
    this.#matrix[b * this.#size + a]! -= ratio * siemens;
  }

  #eliminate(node: number): void {
    const [matrix, size] = [this.#matrix, this.#size];
    const pivot = matrix[node * size + node]!;
    if (!(pivot > 0)) return;
    for (let row = 0; row < size; row++) {
      const factor = matrix[row * size + node]! / pivot;
      if (factor === 0 || row === node) continue;
      for (let column = 0; column < size; column++)
        matrix[row * size + column]! -= factor * matrix[node * size + column]!;
    }
  }
}
