import { deviceModel, isDevice } from '../devices/devices.ts';
import type { Primitive } from '../network/network.ts';
import type {
  CompiledBlock,
  CompiledBranch,
  CompiledDevice,
  CompiledOpamp,
  CompiledRail,
  CompiledState,
} from './compiled-circuit.ts';
import { capacitancePlace, placeOf } from './parameters.ts';
import { strongComponents } from './strong-components.ts';
import { UnionFind } from './union-find.ts';

/** A primitive with the indices of its nodes and of its first number. */
export interface Element {
  readonly primitive: Primitive;
  readonly offset: number;
  readonly nodes: readonly number[];
}

/**
 * Divides the elements into blocks: clusters of solved nodes between known ones; clusters that form a loop
 * through op-amps make one block. Sorted so that each block reads only what is known by then.
 */
export class Partition {
  readonly #elements: readonly Element[];
  readonly #opamps: readonly CompiledOpamp[];
  readonly #unitIndex: number;
  readonly #fixed: ReadonlySet<number>;
  readonly #known: ReadonlySet<number>;
  readonly #metered: ReadonlySet<number>;
  readonly #wanted: ReadonlySet<number>;
  readonly #rails: ReadonlySet<number>;
  readonly #sets: UnionFind;

  constructor(
    elements: readonly Element[],
    opamps: readonly CompiledOpamp[],
    rails: readonly CompiledRail[],
    inputIndex: number,
    unitIndex: number,
    wanted: ReadonlySet<number>,
  ) {
    this.#elements = elements;
    this.#opamps = opamps;
    this.#unitIndex = unitIndex;
    this.#wanted = wanted;
    const sources = elements
      .filter(({ primitive }) => primitive.kind === 'voltageSource')
      .map(({ nodes }) => nodes[0]!);
    this.#fixed = new Set([0, inputIndex, ...sources]);
    const railNodes = rails.map(({ node }) => node);
    this.#rails = new Set(railNodes);
    this.#known = new Set([...this.#fixed, ...railNodes, ...opamps.map(({ out }) => out)]);
    const metersOutput = ({ positive, negative }: CompiledOpamp) =>
      !this.#fixed.has(positive) || !this.#fixed.has(negative);
    this.#metered = new Set([...railNodes, ...opamps.filter(metersOutput).map(({ out }) => out)]);
    this.#sets = new UnionFind(unitIndex);
    for (const { nodes } of elements.filter(isPassiveOrTransistor)) {
      const unknown = nodes.filter((node) => !this.#known.has(node));
      for (const node of unknown) this.#sets.union(node, unknown[0]!);
    }
  }

  blocks(): CompiledBlock[] {
    const clusters = this.#clusters();
    const clusterOf = new Map(
      clusters.flatMap((nodes, cluster) => nodes.map((node) => [node, cluster] as const)),
    );
    const successors = this.#successors(clusters, clusterOf);
    const blocks = strongComponents(successors).map((component) => {
      const nodes = component
        .filter((vertex) => vertex < clusters.length)
        .flatMap((vertex) => clusters[vertex]!);
      const opamps = component
        .filter((vertex) => vertex >= clusters.length)
        .map((vertex) => vertex - clusters.length);
      return this.#block(nodes, opamps);
    });
    const direct = this.#directElements();
    if (direct.length > 0) blocks.push(this.#assemble([], direct, []));
    return blocks;
  }

  #clusters(): number[][] {
    const byRoot = new Map<number, number[]>();
    const unknown = new Set(
      this.#elements.flatMap(({ nodes }) => nodes).filter((node) => !this.#known.has(node)),
    );
    for (const node of unknown) {
      const root = this.#sets.find(node);
      byRoot.set(root, [...(byRoot.get(root) ?? []), node]);
    }
    return [...byRoot.values()];
  }

  /** Vertices: clusters, then op-amps. */
  #successors(clusters: readonly number[][], clusterOf: ReadonlyMap<number, number>): number[][] {
    const inputsOf = (opamp: number): readonly number[] => this.#opampElement(opamp).nodes.slice(0, 2);
    const opampIndices = this.#opamps.map((_, index) => index);
    const fromClusters = clusters.map((nodes) =>
      opampIndices
        .filter((opamp) => inputsOf(opamp).some((node) => nodes.includes(node)))
        .map((opamp) => clusters.length + opamp),
    );
    const fromOpamps = this.#opamps.map(({ out }) => {
      const touched = this.#elements
        .filter((element) => isPassiveOrTransistor(element) && element.nodes.includes(out))
        .flatMap(({ nodes }) => nodes)
        .flatMap((node) => clusterOf.get(node) ?? []);
      const followed = opampIndices
        .filter((opamp) => inputsOf(opamp).includes(out))
        .map((opamp) => clusters.length + opamp);
      return [...new Set([...touched, ...followed])];
    });
    return [...fromClusters, ...fromOpamps];
  }

  #opampElement(index: number): Element {
    return this.#elements.filter(({ primitive }) => primitive.kind === 'opamp')[index]!;
  }

  #block(unknowns: readonly number[], opamps: readonly number[]): CompiledBlock {
    const solved = new Set(unknowns);
    const elements = this.#elements.filter(
      (element) => isPassiveOrTransistor(element) && element.nodes.some((node) => solved.has(node)),
    );
    return this.#assemble(unknowns, elements, opamps);
  }

  /** Elements with known nodes only; just their currents into rails and outputs matter. */
  #directElements(): Element[] {
    return this.#elements.filter(
      (element) =>
        isPassiveOrTransistor(element) &&
        element.nodes.every((node) => this.#known.has(node)) &&
        element.nodes.some((node) => this.#metered.has(node)) &&
        !this.#isRailCapacitor(element),
    );
  }

  #isRailCapacitor(element: Element): boolean {
    return [...this.#rails].some((rail) => isCapacitorToGround(element, rail));
  }

  #assemble(
    unknowns: readonly number[],
    elements: readonly Element[],
    opampIndices: readonly number[],
  ): CompiledBlock {
    const opamps = opampIndices.map((index) => ({ index, element: this.#opampElement(index) }));
    const ownOutputs = new Set(opamps.map(({ index }) => this.#opamps[index]!.out));
    const solved = new Set(unknowns);
    const devices = [
      ...opamps.map(({ index, element }) => opampDevice(element, index)),
      ...elements.flatMap((element) => compileDevice(element)),
    ];
    const constantCurrents = this.#constantCurrents(solved);
    const draws = this.#draws(solved);
    const read = new Set<number>(constantCurrents.length > 0 ? [this.#unitIndex] : []);
    for (const { inputIndex } of draws) read.add(inputIndex);
    const touched = [
      ...elements.flatMap(({ nodes }) => nodes),
      ...opamps.flatMap(({ element }) => element.nodes.slice(0, 2)),
    ];
    for (const node of touched) if (node !== 0 && !solved.has(node) && !ownOutputs.has(node)) read.add(node);
    return {
      unknowns,
      inputs: [...read],
      branches: elements.flatMap(compileBranch),
      states: compileStates(elements),
      devices,
      constantCurrents,
      draws,
      outputs: unknowns.filter((node) => this.#isRead(node, opampIndices)),
      meteredNodes: [...this.#metered].filter((node) => elements.some(({ nodes }) => nodes.includes(node))),
      substeps: 1,
    };
  }

  #constantCurrents(solved: ReadonlySet<number>): { node: number; offset: number }[] {
    return this.#opamps.flatMap(({ offset }, index) =>
      this.#opampElement(index)
        .nodes.slice(0, 2)
        .filter((node) => solved.has(node))
        .map((node) => ({ node, offset: offset + placeOf('opamp', 'inputBiasA') })),
    );
  }

  #draws(solved: ReadonlySet<number>): { node: number; inputIndex: number; sign: number }[] {
    return this.#opamps
      .flatMap(({ positive, negative, drawIndex, returnIndex }) => [
        { node: positive, inputIndex: drawIndex, sign: 1 },
        { node: negative, inputIndex: returnIndex, sign: -1 },
      ])
      .filter(({ node }) => solved.has(node));
  }

  #isRead(node: number, ownOpamps: readonly number[]): boolean {
    if (this.#wanted.has(node)) return true;
    return this.#opamps.some(
      (_, index) => !ownOpamps.includes(index) && this.#opampElement(index).nodes.slice(0, 2).includes(node),
    );
  }
}

function isPassiveOrTransistor({ primitive }: Element): boolean {
  return primitive.kind !== 'opamp' && primitive.kind !== 'voltageSource';
}

function compileBranch({ primitive, nodes, offset }: Element): CompiledBranch[] {
  if (primitive.kind !== 'resistor' && primitive.kind !== 'converter') return [];
  const ratio = primitive.kind === 'converter' ? primitive.ratio : 1;
  return [{ a: nodes[0]!, b: nodes[1]!, offset, ratio }];
}

/** Capacitors between the same two nodes, including a diode's own, are one state. */
function compileStates(elements: readonly Element[]): CompiledState[] {
  const states = new Map<string, { a: number; b: number; offsets: number[]; inductive: boolean }>();
  for (const { primitive, nodes, offset } of elements) {
    const [a, b] = nodes[0]! < nodes[1]! ? [nodes[0]!, nodes[1]!] : [nodes[1]!, nodes[0]!];
    const capacitance = capacitancePlace(primitive);
    if (primitive.kind === 'inductor') {
      states.set(`inductor ${offset}`, { a: nodes[0]!, b: nodes[1]!, offsets: [offset], inductive: true });
    } else if (capacitance >= 0) {
      const own = offset + capacitance;
      const shared = states.get(`${a} ${b}`);
      if (shared) shared.offsets.push(own);
      else states.set(`${a} ${b}`, { a, b, offsets: [own], inductive: false });
    }
  }
  return [...states.values()];
}

function opampDevice(element: Element, opampIndex: number): CompiledDevice {
  const [device] = compileDevice(element);
  return { ...device!, opampIndex, outputNode: element.nodes[2]! };
}

function compileDevice({ primitive, nodes, offset }: Element): CompiledDevice[] {
  if (!isDevice(primitive)) return [];
  const { kind } = primitive;
  const { ports, equations } = deviceModel(kind);
  if (!equations) return [];
  return [
    {
      kind,
      offset,
      ports: ports.map(([plus, minus]) => ({ plus: nodes[plus]!, minus: nodes[minus]! })),
      seriesOffset: equations.series ? offset + placeOf(kind, equations.series.ohms) : -1,
      opampIndex: -1,
      outputNode: -1,
    },
  ];
}

/** Whether an element is a capacitor from a node to ground, such as the filter of a rail. */
export function isCapacitorToGround({ primitive, nodes }: Element, node: number): boolean {
  return primitive.kind === 'capacitor' && nodes.includes(node) && nodes.includes(0);
}
