import { deviceModel, isDevice } from '../devices/devices.ts';
import { LOAD_SIEMENS, OPAMP_PINS } from '../devices/opamp-equations.ts';
import type { Primitive } from '../network/network.ts';
import { chargedKind, pinnedKind } from './block-devices.ts';
import type {
  CompiledBlock,
  CompiledBranch,
  CompiledDevice,
  CompiledOpamp,
  CompiledPort,
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
    const metersOutput = ({ positive, negative, isSupplySolved }: CompiledOpamp) =>
      !isSupplySolved && !(this.#fixed.has(positive) && this.#fixed.has(negative));
    const counted = opamps.filter((opamp) => metersOutput(opamp) || opamp.load === 'predicted');
    this.#metered = new Set([...railNodes, ...counted.map(({ out }) => out)]);
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
    const opampIndices = this.#opamps.map((_, index) => index);
    const readers = (nodes: readonly number[]) =>
      opampIndices
        .filter((opamp) => this.#readBy(opamp).some((node) => nodes.includes(node)))
        .map((opamp) => clusters.length + opamp);
    const successors = [
      ...clusters.map(readers),
      ...this.#opamps.map(({ out }) => [...this.#clustersOn(out, clusterOf), ...readers([out])]),
    ];
    // What drives an op-amp's output current decides the voltage of a supply pin that is solved, and its limits under load.
    for (const opamp of opampIndices) {
      const { out, positive, negative, isSupplySolved, load } = this.#opamps[opamp]!;
      const isLoadSolved = load === 'solved';
      if (!isSupplySolved && !isLoadSolved) continue;
      const supplies = isSupplySolved
        ? [positive, negative].flatMap((node) => clusterOf.get(node) ?? [])
        : [];
      const driven = isLoadSolved ? [...supplies, clusters.length + opamp] : supplies;
      const drivers = opampIndices.filter(
        (other) => other === opamp || this.#isJoined(out, this.#opamps[other]!.out),
      );
      for (const cluster of this.#clustersOn(out, clusterOf)) successors[cluster]!.push(...driven);
      for (const driver of drivers) successors[clusters.length + driver]!.push(...driven);
    }
    return successors.map((vertices) => [...new Set(vertices)]);
  }

  /** Nodes whose voltage an op-amp's equation reads and that may be solved: its inputs, and supply pins. */
  #readBy(opamp: number): readonly number[] {
    const { plus, minus, positive, negative, isSupplySolved } = this.#opamps[opamp]!;
    return isSupplySolved ? [plus, minus, positive, negative] : [plus, minus];
  }

  #clustersOn(node: number, clusterOf: ReadonlyMap<number, number>): number[] {
    return this.#elements
      .filter((element) => isPassiveOrTransistor(element) && element.nodes.includes(node))
      .flatMap(({ nodes }) => nodes)
      .flatMap((other) => clusterOf.get(other) ?? []);
  }

  /** Whether an element lies between two nodes. */
  #isJoined(a: number, b: number): boolean {
    return this.#elements.some(
      (element) => isPassiveOrTransistor(element) && element.nodes.includes(a) && element.nodes.includes(b),
    );
  }

  #opampElement(index: number): Element {
    return this.#elements.filter(({ primitive }) => primitive.kind === 'opamp')[index]!;
  }

  #block(unknowns: readonly number[], opamps: readonly number[]): CompiledBlock {
    const solved = new Set(unknowns);
    // What an op-amp drives counts where its output current does, between known nodes too.
    for (const opamp of opamps) if (countsCurrent(this.#opamps[opamp]!)) solved.add(this.#opamps[opamp]!.out);
    const elements = this.#elements.filter(
      (element) => isPassiveOrTransistor(element) && element.nodes.some((node) => solved.has(node)),
    );
    return this.#assemble(unknowns, elements, opamps);
  }

  /** Elements with known nodes only; just their currents into rails and outputs matter. */
  #directElements(): Element[] {
    const ofBlocks = new Set(this.#opamps.filter(countsCurrent).map(({ out }) => out));
    return this.#elements.filter(
      (element) =>
        isPassiveOrTransistor(element) &&
        element.nodes.every((node) => this.#known.has(node)) &&
        element.nodes.some((node) => this.#metered.has(node)) &&
        !element.nodes.some((node) => ofBlocks.has(node)) &&
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
    const solved = new Set(unknowns);
    const amplifiers = opampIndices.map((index) => this.#opamps[index]!);
    const ownOutputs = new Set(amplifiers.map(({ out }) => out));
    const supplied = amplifiers.filter(({ isSupplySolved }) => isSupplySolved);
    const devices = [
      ...opampIndices.map((index) =>
        this.#opampDevice(index, (node) => solved.has(node) || ownOutputs.has(node)),
      ),
      ...elements.flatMap((element) => compileDevice(element)),
      ...supplied.map(supplyDevice),
    ];
    const counted = amplifiers.filter(countsCurrent).map(({ out }) => out);
    const constantCurrents = this.#constantCurrents(new Set([...unknowns, ...counted]));
    const read = new Set<number>(constantCurrents.length > 0 ? [this.#unitIndex] : []);
    const touched = [
      ...elements.flatMap(({ nodes }) => nodes),
      ...amplifiers.flatMap(({ plus, minus }) => [plus, minus]),
      ...supplied.flatMap(({ positive, negative }) => [positive, negative]),
    ];
    for (const { loadNode } of amplifiers) if (loadNode >= 0) read.add(loadNode);
    for (const node of touched) if (node !== 0 && !solved.has(node) && !ownOutputs.has(node)) read.add(node);
    const carried = new Set([
      ...elements.flatMap(({ nodes }) => nodes),
      ...supplied.flatMap(({ positive, negative }) => [positive, negative]),
    ]);
    return {
      unknowns,
      inputs: [...read],
      branches: elements.flatMap(compileBranch),
      states: compileStates(elements),
      devices,
      constantCurrents,
      outputs: unknowns.filter((node) => this.#isRead(node, opampIndices)),
      meteredNodes: [...this.#metered].filter((node) => carried.has(node)),
      substeps: 1,
      formula: 'third',
      drawsMeans: false,
      nodal: undefined,
    };
  }

  /** @param isSolved Whether the op-amp's block solves a node. */
  #opampDevice(index: number, isSolved: (node: number) => boolean): CompiledDevice {
    const opamp = this.#opamps[index]!;
    const { isRanged, out, plus, minus, offset } = opamp;
    const isLoaded = opamp.load !== 'none';
    const pins = OPAMP_PINS.filter((pin) => (pin !== 'plus' || isRanged) && isSolved(opamp[pin]));
    const readings: readonly string[] = isLoaded ? [...pins, 'load'] : pins;
    const words = isRanged && pins.length > 0 ? ['range', ...readings] : readings;
    const load = isLoaded ? [loadPort(opamp)] : [];
    return {
      kind: pinnedKind(words),
      offset,
      ports: [portBetween(plus, minus), ...pins.map((pin) => portBetween(opamp[pin], 0)), ...load],
      seriesOffset: -1,
      opampIndex: index,
      outputNode: out,
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

/** Whether the current out of an op-amp's output is solved in its block. */
function countsCurrent({ isSupplySolved, load }: CompiledOpamp): boolean {
  return isSupplySolved || load === 'solved';
}

/** A port whose voltage is the current out of an op-amp's output, and into which nothing flows. */
function loadPort({ out, offset, loadNode }: CompiledOpamp): CompiledPort {
  const isPredicted = loadNode >= 0;
  const loadOffset = isPredicted ? offset + placeOf('opamp', LOAD_SIEMENS) : -1;
  return { plus: isPredicted ? loadNode : 0, minus: 0, from: 0, to: 0, metered: out, loadOffset };
}

/** What an op-amp takes from supply pins: see OPAMP_SUPPLY. */
function supplyDevice({ out, positive, negative, offset }: CompiledOpamp): CompiledDevice {
  return {
    kind: 'opamp supply',
    offset,
    ports: [
      { plus: 0, minus: 0, from: positive, to: 0, metered: out, loadOffset: -1 },
      { plus: positive, minus: negative, from: 0, to: negative, metered: -1, loadOffset: -1 },
    ],
    seriesOffset: -1,
    opampIndex: -1,
    outputNode: -1,
  };
}

function portBetween(plus: number, minus: number): CompiledPort {
  return { plus, minus, from: plus, to: minus, metered: -1, loadOffset: -1 };
}

function compileDevice({ primitive, nodes, offset }: Element): CompiledDevice[] {
  if (!isDevice(primitive)) return [];
  const { kind } = primitive;
  const { ports, equations, structureOf } = deviceModel(kind);
  if (!equations) return [];
  return [
    {
      kind: chargedKind(kind, structureOf(primitive)),
      offset,
      ports: ports.map(([plus, minus]) => portBetween(nodes[plus]!, nodes[minus]!)),
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
