import { deviceModel, isDevice } from '../devices/devices.ts';
import type { Primitive } from '../network/network.ts';
import { forwardV } from './diode-pairs.ts';
import type { Track } from './knob-ends.ts';
import { isFieldEffect, LOUDEST_V } from './loud-signal.ts';
import { capacitancePlace, parametersOf } from './parameters.ts';
import type { Element } from './partition.ts';
import { strongComponents } from './strong-components.ts';
import { UnionFind } from './union-find.ts';

export type OpampElement = Element & { readonly primitive: Primitive & { readonly kind: 'opamp' } };

/** What loads are found from. */
export interface LoadedNetwork {
  readonly elements: readonly Element[];
  readonly inputIndex: number;
  /** Shared nodes that no block is expected to solve. */
  readonly rails: readonly number[];
  readonly temperatureK: number;
  readonly tracks: ReadonlyMap<string, Track>;
}

/** What is assumed of a load while its conductance is computed. */
export interface Assumption {
  /** Rate at which capacitors are charged, 1/s. */
  readonly rate: number;
  /** Whether diodes that do not surely conduct do so. */
  readonly diodesConduct: boolean;
  /** Whether the inverting inputs of other op-amps are held by their feedback. */
  readonly inputsHeld: boolean;
}

/** Slope resistance of a diode that conducts, ohms, at most: of a milliampere. */
const CONDUCTING_OHMS = 50;
/** Conductance from base to emitter of a transistor at 0.5 mA with a current gain of 200, S. */
const BASE_S = 1e-4;
/** A network with its held nodes, its clusters of others, and the loops that these form with op-amps. */
export class DrivenCircuit {
  readonly #parts: readonly Element[];
  readonly #opamps: readonly OpampElement[];
  readonly #temperatureK: number;
  /** Ground, input, supplies. */
  readonly #given: ReadonlySet<number>;
  readonly #held: ReadonlySet<number>;
  readonly #sets: UnionFind;
  /** By op-amp: roots of the clusters in its loop. */
  readonly #own: readonly ReadonlySet<number>[];

  constructor({ elements, inputIndex, rails, temperatureK }: LoadedNetwork) {
    const opamps = elements.filter(isOpamp);
    this.#parts = elements.filter(({ primitive: { kind } }) => kind !== 'opamp' && kind !== 'voltageSource');
    this.#opamps = opamps;
    this.#temperatureK = temperatureK;
    const sources = elements.flatMap(({ primitive, nodes }) =>
      primitive.kind === 'voltageSource' ? [nodes[0]!] : [],
    );
    this.#given = new Set([0, inputIndex, ...sources, ...rails]);
    this.#held = new Set([...this.#given, ...opamps.map(({ nodes }) => nodes[2]!)]);
    this.#sets = new UnionFind(1 + Math.max(0, ...elements.flatMap(({ nodes }) => nodes)));
    for (const { nodes } of this.#parts) {
      const solved = nodes.filter((node) => !this.#held.has(node));
      for (const node of solved) this.#sets.union(node, solved[0]!);
    }
    this.#own = this.#loops();
  }

  #rootsOf(nodes: readonly number[]): number[] {
    return [...new Set(nodes.filter((node) => !this.#held.has(node)).map((node) => this.#sets.find(node)))];
  }

  #rootsOn(node: number): number[] {
    return this.#rootsOf(
      this.#parts.filter(({ nodes }) => nodes.includes(node)).flatMap(({ nodes }) => nodes),
    );
  }

  #loops(): ReadonlySet<number>[] {
    const roots = this.#rootsOf(this.#parts.flatMap(({ nodes }) => nodes));
    const readers = (isRead: (node: number) => boolean) =>
      this.#opamps.flatMap(({ nodes }, index) =>
        nodes.slice(0, 2).some(isRead) ? [roots.length + index] : [],
      );
    const successors = [
      ...roots.map((root) => readers((node) => !this.#held.has(node) && this.#sets.find(node) === root)),
      ...this.#opamps.map(({ nodes }) => [
        ...this.#rootsOn(nodes[2]!).map((root) => roots.indexOf(root)),
        ...readers((node) => node === nodes[2]),
      ]),
    ];
    const own: Set<number>[] = this.#opamps.map(() => new Set());
    for (const component of strongComponents(successors)) {
      const clusters = component.filter((vertex) => vertex < roots.length).map((vertex) => roots[vertex]!);
      for (const vertex of component)
        if (vertex >= roots.length) for (const root of clusters) own[vertex - roots.length]!.add(root);
    }
    return own;
  }

  /** What an op-amp's output drives outside its own loop. */
  loadOf(index: number): DrivenLoad {
    const out = this.#opamps[index]!.nodes[2]!;
    const driven = this.#rootsOn(out).filter((root) => !this.#own[index]!.has(root));
    const elements = this.#parts.filter(({ nodes }) => {
      const roots = this.#rootsOf(nodes);
      return roots.length > 0 ? driven.includes(roots[0]!) : nodes.includes(out);
    });
    const inverting = this.#opamps.map(({ nodes }) => nodes[1]!);
    return new DrivenLoad(elements, out, this.#held, inverting, this.#temperatureK);
  }

  /**
   * Most that a loud input makes of an op-amp's output, V, where that can be told from the parts around it: diodes both ways
   * from output to inverting input keep it by their drop from the other input, to which nothing leads that amplifies.
   */
  mostAt(index: number): number {
    const [plus = 0, minus = 0, out = 0] = this.#opamps[index]!.nodes;
    if (!this.#isFed(plus)) return Number.POSITIVE_INFINITY;
    return LOUDEST_V + Math.max(this.#dropV(out, minus), this.#dropV(minus, out));
  }

  /** Whether the collector or drain of some transistor moves with the signal: the others are followers. */
  hasAmplifyingTransistor(): boolean {
    return this.#parts.some(
      ({ primitive: { kind }, nodes }) =>
        (isBipolar(kind) || isFieldEffect(kind)) && !this.#given.has(nodes[0]!),
    );
  }

  /** Whether only resistors, capacitors and emitter followers lead from the input to a node. */
  #isFed(node: number): boolean {
    if (this.#given.has(node)) return true;
    if (this.#held.has(node)) return false;
    const root = this.#sets.find(node);
    return this.#parts
      .filter(({ nodes }) => this.#rootsOf(nodes).includes(root))
      .every(
        ({ primitive: { kind }, nodes }) =>
          nodes.every((other) => !this.#held.has(other) || this.#given.has(other)) &&
          (kind === 'resistor' || kind === 'capacitor' || (isBipolar(kind) && this.#given.has(nodes[0]!))),
      );
  }

  /** Least drop from a node to another through diodes, V; infinite where none conduct that way. */
  #dropV(from: number, to: number, passed: readonly number[] = []): number {
    if (from === to) return 0;
    const drops = this.#parts.flatMap(({ primitive, nodes: [anode, cathode = 0] }) =>
      primitive.kind === 'diode' && anode === from && !passed.includes(cathode)
        ? [forwardV(primitive, this.#temperatureK) + this.#dropV(cathode, to, [...passed, from])]
        : [],
    );
    return Math.min(Number.POSITIVE_INFINITY, ...drops);
  }
}

/** The parts between an output and the held nodes around them. */
export class DrivenLoad {
  readonly elements: readonly Element[];
  readonly #out: number;
  readonly #held: ReadonlySet<number>;
  readonly #inverting: readonly number[];
  readonly #temperatureK: number;

  constructor(
    elements: readonly Element[],
    out: number,
    held: ReadonlySet<number>,
    inverting: readonly number[],
    temperatureK: number,
  ) {
    this.elements = elements;
    this.#out = out;
    this.#held = held;
    this.#inverting = inverting;
    this.#temperatureK = temperatureK;
  }

  /** Between the output and all held nodes, S. @param swingV What the output can move. */
  conductance(assumption: Assumption, swingV: number): number {
    const kept = assumption.inputsHeld ? new Set([...this.#held, ...this.#inverting]) : this.#held;
    const inner = [...new Set(this.elements.flatMap(({ nodes }) => nodes))].filter((node) => !kept.has(node));
    const placeOfNode = new Map([[this.#out, 0], ...inner.map((node, index) => [node, index + 1] as const)]);
    const size = inner.length + 1;
    const matrix = new Float64Array(size * size);
    const add = (a: number, b: number, siemens: number) => {
      const [from, to] = [placeOfNode.get(a), placeOfNode.get(b)];
      if (from !== undefined) matrix[from * size + from]! += siemens;
      if (to !== undefined) matrix[to * size + to]! += siemens;
      if (from === undefined || to === undefined) return;
      matrix[from * size + to]! -= siemens;
      matrix[to * size + from]! -= siemens;
    };
    for (const element of this.elements)
      for (const [a, b, siemens] of this.#siemensOf(element, assumption, swingV)) add(a, b, siemens);
    return eliminated(matrix, size);
  }

  #siemensOf(
    { primitive, nodes }: Element,
    assumption: Assumption,
    swingV: number,
  ): (readonly [number, number, number])[] {
    const [a = 0, b = 0, c = 0] = nodes;
    const place = capacitancePlace(primitive);
    const farads = place < 0 ? 0 : parametersOf(primitive, this.#temperatureK)[place]!;
    const charging = farads * assumption.rate;
    switch (primitive.kind) {
      case 'resistor':
        return [[a, b, 1 / primitive.ohms]];
      case 'capacitor':
        return [[a, b, charging]];
      case 'inductor':
        return [[a, b, 1 / (primitive.henries * assumption.rate)]];
      case 'npn':
      case 'pnp':
        return [[b, c, BASE_S]];
      case 'diode': {
        const [, , most] = deviceModel('diode').conductanceBounds(primitive)[0]!;
        const surely = 1 / (1 / most + CONDUCTING_OHMS);
        const conducting = assumption.diodesConduct
          ? most
          : this.#clamps(primitive, nodes, swingV)
            ? surely
            : 0;
        return [[a, b, conducting + charging]];
      }
      default:
        if (!isDevice(primitive) || !assumption.diodesConduct) return [];
        return deviceModel(primitive.kind)
          .conductanceBounds(primitive)
          .map(([plus, minus, siemens]) => [nodes[plus]!, nodes[minus]!, siemens] as const);
    }
  }

  /** Whether a diode conducts, or one the other way beside it, whenever the output is near a limit. */
  #clamps(diode: Primitive & { kind: 'diode' }, [a, b]: readonly number[], swingV: number): boolean {
    const beside = this.elements.flatMap(({ primitive, nodes: [anode, cathode] }) =>
      primitive.kind === 'diode' && anode === b && cathode === a ? [primitive] : [],
    );
    const drops = [diode, ...beside].map((one) => forwardV(one, this.#temperatureK));
    return beside.length > 0 && 2 * Math.max(...drops) < swingV;
  }
}

/** Conductance at the first node of a symmetric matrix after the others are eliminated, S. Overwrites it. */
function eliminated(matrix: Float64Array, size: number): number {
  for (let node = size - 1; node > 0; node--) {
    const pivot = matrix[node * size + node]!;
    if (!(pivot > 0)) continue;
    for (let row = 0; row < node; row++) {
      const factor = matrix[row * size + node]! / pivot;
      if (factor === 0) continue;
      for (let column = 0; column < node; column++)
        matrix[row * size + column]! -= factor * matrix[node * size + column]!;
    }
  }
  return Math.max(0, matrix[0]!);
}

function isBipolar(kind: Primitive['kind']): boolean {
  return kind === 'npn' || kind === 'pnp';
}

export function isOpamp(element: Element): element is OpampElement {
  return element.primitive.kind === 'opamp';
}
