import { GROUND, type Network, type NodeName, type Primitive } from '../network/network.ts';
import { pruneNetwork } from '../network/prune.ts';
import {
  type CompiledBlock,
  type CompiledBranch,
  type CompiledCircuit,
  type CompiledDevice,
  type CompiledOpamp,
  type CompiledRail,
  type CompiledState,
  DEVICE,
} from './compiled-circuit.ts';
import { emitCircuit } from './emit/emit-circuit.ts';
import { compileModule } from './emit/emitted-loop.ts';
import { checkNetwork } from './network-check.ts';
import { operatingPoint } from './operating-point.ts';
import { DIODE, networkParameters, OPAMP, parametersOf } from './parameters.ts';
import { strongComponents } from './strong-components.ts';
import { UnionFind } from './union-find.ts';

/**
 * A rail is advanced beside the blocks while step·conductance/capacitance stays below this. The explicit
 * second-order step that it uses is stable up to 1 on the real axis; a tenth leaves room for gliding values.
 */
const RAIL_STABILITY_LIMIT = 0.1;
/** Conductance that a device is taken to show a rail at most, S: 2.6 mA through a junction. */
const DEVICE_CONDUCTANCE_S = 0.1;

export interface CompileOptions {
  /** Rate at which the circuit will be solved (oversampled), Hz. */
  readonly sampleRateHz: number;
  /** Nets beside the output whose voltage is wanted in every sample. */
  readonly observed?: readonly NodeName[];
  /** Leaves out the emitted code, so that the circuit runs in the interpreter. */
  readonly interpreted?: boolean;
}

interface Element {
  readonly primitive: Primitive;
  readonly offset: number;
  readonly nodes: readonly number[];
}

/**
 * Compile phase: network → blocks. Nodes of known voltage (ground, sources, input, op-amp outputs, rails)
 * part the network into clusters; clusters and op-amps that form a loop make one block; blocks are sorted so
 * that each reads only what earlier ones have solved.
 *
 * Runs off the audio thread. @throws NetworkError, OperatingPointError.
 */
export function compileCircuit(unpruned: Network, options: CompileOptions): CompiledCircuit {
  const network = pruneNetwork(unpruned);
  checkNetwork(network);
  const rest = operatingPoint(network);
  const { names, indexOf, elements } = place(network);
  const unitIndex = names.length;
  const opamps = compileOpamps(elements, unitIndex + 1);
  const rails = compileRails(network, elements, indexOf, options.sampleRateHz);
  const inputIndex = indexOf.get(network.input)!;
  const outputIndex = indexOf.get(network.output)!;
  const wanted = new Set([outputIndex, ...(options.observed ?? []).map((name) => knownNet(indexOf, name))]);
  for (const { positive, negative } of opamps) wanted.add(positive).add(negative);
  const partition = new Partition(elements, opamps, rails, inputIndex, unitIndex, wanted);
  const blocks = partition.blocks();
  const circuit: CompiledCircuit = {
    structureKey: structureKey(network, rails, options),
    nodeNames: names,
    unitIndex,
    inputIndex,
    outputIndex,
    parameters: networkParameters(network),
    sources: elements
      .filter(({ primitive }) => primitive.kind === 'voltageSource')
      .map(({ nodes, offset }) => ({ node: nodes[0]!, offset })),
    rails,
    opamps,
    blocks,
    restVolts: Float64Array.from(names, (name) => rest.volts.get(name) ?? 0),
    restInductorA: elements
      .filter(({ primitive }) => primitive.kind === 'inductor')
      .map(({ primitive, offset }) => ({ offset, amps: rest.inductorA.get(primitive.ref) ?? 0 })),
    sampleRateHz: options.sampleRateHz,
    module: undefined,
  };
  return options.interpreted ? circuit : { ...circuit, module: compileModule(emitCircuit(circuit)) };
}

/** The numbers of a network and the key of its structure, without compiling it. */
export interface CircuitValues {
  readonly structureKey: string;
  readonly parameters: Float64Array;
}

/**
 * What a running circuit needs of a changed network: where the key equals that of the circuit compiled with
 * the same options, the numbers can be given to it; else it has to be compiled. Takes tens of microseconds.
 */
export function circuitValues(unpruned: Network, options: CompileOptions): CircuitValues {
  const network = pruneNetwork(unpruned);
  const { indexOf, elements } = place(network);
  const rails = compileRails(network, elements, indexOf, options.sampleRateHz);
  return { structureKey: structureKey(network, rails, options), parameters: networkParameters(network) };
}

function place(network: Network): {
  names: NodeName[];
  indexOf: ReadonlyMap<NodeName, number>;
  elements: Element[];
} {
  const names = [
    ...new Set([GROUND, network.input, ...network.primitives.flatMap(({ nodes }) => [...nodes])]),
  ];
  const indexOf = new Map(names.map((name, index) => [name, index]));
  return { names, indexOf, elements: placeElements(network, indexOf) };
}

function knownNet(indexOf: ReadonlyMap<NodeName, number>, name: NodeName): number {
  const index = indexOf.get(name);
  if (index === undefined) throw new RangeError(`the circuit has no net "${name}" that carries current`);
  return index;
}

function placeElements(network: Network, indexOf: ReadonlyMap<NodeName, number>): Element[] {
  let offset = 0;
  return network.primitives.map((primitive) => {
    const element = { primitive, offset, nodes: primitive.nodes.map((node) => indexOf.get(node)!) };
    offset += parametersOf(primitive, network.temperatureK).length;
    return element;
  });
}

function compileOpamps(elements: readonly Element[], firstDrawIndex: number): CompiledOpamp[] {
  return elements
    .filter(({ primitive }) => primitive.kind === 'opamp')
    .map(({ nodes, offset }, index) => ({
      out: nodes[2]!,
      positive: nodes[3]!,
      negative: nodes[4]!,
      offset,
      drawIndex: firstDrawIndex + 2 * index,
      returnIndex: firstDrawIndex + 2 * index + 1,
    }));
}

function compileRails(
  network: Network,
  elements: readonly Element[],
  indexOf: ReadonlyMap<NodeName, number>,
  sampleRateHz: number,
): CompiledRail[] {
  const driven = new Set(
    elements.flatMap(({ primitive, nodes }) =>
      primitive.kind === 'voltageSource' ? [nodes[0]!] : primitive.kind === 'opamp' ? [nodes[2]!] : [],
    ),
  );
  return network.rails.flatMap((name) => {
    const node = indexOf.get(name);
    if (node === undefined || driven.has(node) || name === GROUND) return [];
    const capacitors = elements.filter((element) => isCapacitorToGround(element, node));
    const farads = capacitors.reduce(
      (sum, { primitive }) => sum + (primitive.kind === 'capacitor' ? primitive.farads : 0),
      0,
    );
    const others = elements.filter(
      (element) => element.nodes.includes(node) && !capacitors.includes(element),
    );
    const siemens = others.reduce((sum, element) => sum + conductanceBound(element, node, sampleRateHz), 0);
    if (!(siemens / (sampleRateHz * farads) <= RAIL_STABILITY_LIMIT)) return [];
    return [{ node, capacitorOffsets: capacitors.map(({ offset }) => offset) }];
  });
}

function isCapacitorToGround({ primitive, nodes }: Element, node: number): boolean {
  return primitive.kind === 'capacitor' && nodes.includes(node) && nodes.includes(0);
}

/** What an element can show a node at most; a collector and an op-amp's supply pin are current sources. */
function conductanceBound({ primitive, nodes }: Element, node: number, sampleRateHz: number): number {
  switch (primitive.kind) {
    case 'resistor':
      return 1 / primitive.ohms;
    case 'converter':
      return Math.max(1, primitive.ratio * primitive.ratio) / primitive.outputOhms;
    case 'capacitor':
      return 2 * primitive.farads * sampleRateHz;
    case 'inductor':
      return 1 / (2 * primitive.henries * sampleRateHz);
    case 'opamp':
      return 0;
    case 'npn':
    case 'pnp':
      return nodes[1] === node || nodes[2] === node ? DEVICE_CONDUCTANCE_S : 0;
    default:
      return DEVICE_CONDUCTANCE_S;
  }
}

function structureKey(network: Network, rails: readonly CompiledRail[], options: CompileOptions): string {
  const parts = network.primitives.map((primitive) => {
    const ratio = primitive.kind === 'converter' ? ` ${primitive.ratio}` : '';
    return `${primitive.kind}${ratio}(${primitive.nodes.join(',')})`;
  });
  const settled = rails.map(({ node }) => node).join(',');
  return [network.input, network.output, settled, (options.observed ?? []).join(','), ...parts].join(';');
}

/** Parts the elements into blocks. */
class Partition {
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

  /** Elements whose every node is known; only their currents into rails and outputs matter. */
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
    const drains = this.#drains(solved);
    const draws = this.#draws(solved);
    const read = new Set<number>(drains.length > 0 ? [this.#unitIndex] : []);
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
      drains,
      draws,
      outputs: unknowns.filter((node) => this.#isRead(node, opampIndices)),
      meteredNodes: [...this.#metered].filter((node) => elements.some(({ nodes }) => nodes.includes(node))),
    };
  }

  #drains(solved: ReadonlySet<number>): { node: number; offset: number }[] {
    return this.#opamps.flatMap(({ offset }, index) =>
      this.#opampElement(index)
        .nodes.slice(0, 2)
        .filter((node) => solved.has(node))
        .map((node) => ({ node, offset: offset + OPAMP.inputBiasA })),
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

/** Capacitors between the same two nodes, a diode's own among them, are one state. */
function compileStates(elements: readonly Element[]): CompiledState[] {
  const states = new Map<string, { a: number; b: number; offsets: number[]; inductive: boolean }>();
  for (const { primitive, nodes, offset } of elements) {
    const [a, b] = nodes[0]! < nodes[1]! ? [nodes[0]!, nodes[1]!] : [nodes[1]!, nodes[0]!];
    if (primitive.kind === 'inductor') {
      states.set(`inductor ${offset}`, { a: nodes[0]!, b: nodes[1]!, offsets: [offset], inductive: true });
    } else if (primitive.kind === 'capacitor' || primitive.kind === 'diode') {
      const own = primitive.kind === 'diode' ? offset + DIODE.farads : offset;
      const shared = states.get(`${a} ${b}`);
      if (shared) shared.offsets.push(own);
      else states.set(`${a} ${b}`, { a, b, offsets: [own], inductive: false });
    }
  }
  return [...states.values()];
}

function opampDevice({ nodes, offset }: Element, opampIndex: number): CompiledDevice {
  return {
    code: DEVICE.opamp,
    offset,
    ports: [{ plus: nodes[0]!, minus: nodes[1]! }],
    opampIndex,
    outputNode: nodes[2]!,
  };
}

function compileDevice({ primitive, nodes, offset }: Element): CompiledDevice[] {
  const [a = 0, b = 0, c = 0] = nodes;
  switch (primitive.kind) {
    case 'diode':
      return [{ code: DEVICE.diode, offset, ports: [{ plus: a, minus: b }], opampIndex: -1, outputNode: -1 }];
    case 'npn':
    case 'pnp':
      return [
        {
          code: primitive.kind === 'npn' ? DEVICE.npn : DEVICE.pnp,
          offset,
          ports: [
            { plus: b, minus: c },
            { plus: b, minus: a },
          ],
          opampIndex: -1,
          outputNode: -1,
        },
      ];
    case 'nJfet':
    case 'nMosfet':
      return [
        {
          code: primitive.kind === 'nJfet' ? DEVICE.jfet : DEVICE.mosfet,
          offset,
          ports: [
            { plus: b, minus: c },
            { plus: a, minus: c },
          ],
          opampIndex: -1,
          outputNode: -1,
        },
      ];
    default:
      return [];
  }
}
