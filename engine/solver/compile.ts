import { deviceModel, isDevice } from '../devices/devices.ts';
import { GROUND, type NodeName } from '../devices/node.ts';
import { LOAD_SIEMENS } from '../devices/opamp-equations.ts';
import type { Network } from '../network/network.ts';
import { pruneNetwork } from '../network/prune.ts';
import { BlockCoefficients } from './block-coefficients.ts';
import { plainMemory } from './circuit-memory.ts';
import type { CircuitNumbers, CompiledCircuit, CompiledOpamp, CompiledRail } from './compiled-circuit.ts';
import { emitCircuit, tapeOfCircuit } from './emit/emit-circuit.ts';
import { compileModule } from './emit/emitted-loop.ts';
import { type Track, tracksOf } from './knob-ends.ts';
import { checkNetwork } from './network-check.ts';
import { NetworkError } from './network-error.ts';
import { nodalPlan } from './nodal-plan.ts';
import { type OperatingPoint, operatingPoint } from './operating-point.ts';
import { type OutputLoad, outputLoads } from './output-loads.ts';
import { capacitancePlace, networkParameters, parametersOf, placeOf } from './parameters.ts';
import { type Element, Partition } from './partition.ts';
import { compileRails, heldNodes } from './rails.ts';
import { chooseSubsteps, type StepNeeds, stepNeeds } from './substeps.ts';

const LOAD = placeOf('opamp', LOAD_SIEMENS);
const INPUT_BIAS = placeOf('opamp', 'inputBiasA');

export interface CompileOptions {
  /** Rate at which the circuit will be solved (oversampled), Hz. */
  readonly sampleRateHz: number;
  /** Nets besides the output whose voltage is needed in every sample. */
  readonly observed?: readonly NodeName[];
  /** Makes a tape for the interpreter instead of WebAssembly. */
  readonly interpreted?: boolean;
  /** Adds the code that runs two circuits of one structure in step; see PairedSimulators. */
  readonly paired?: boolean;
  /** Operating point of the network, if it is known. */
  readonly rest?: OperatingPoint;
}

/**
 * Compile phase: network → blocks. Nodes of known voltage (ground, sources, input, op-amp outputs, rails)
 * divide the network into clusters; clusters and op-amps that form a loop make one block; blocks are sorted so
 * that each reads only what earlier ones have solved.
 *
 * Runs off the audio thread. @throws NetworkError, OperatingPointError.
 */
export function compileCircuit(unpruned: Network, options: CompileOptions): CompiledCircuit {
  const network = pruneNetwork(unpruned);
  checkNetwork(network);
  const rest = options.rest ?? operatingPoint(network);
  const { names, indexOf, elements } = place(network);
  const inputIndex = indexOf.get(network.input)!;
  const { rails, held, loads, needs } = divisionOf(
    network,
    tracksOf(unpruned),
    elements,
    indexOf,
    options.sampleRateHz,
  );
  const opamps = compileOpamps(elements, held, loads, names.length);
  // Nodes without a name, behind those of the network, hold what loads are predicted to draw.
  const unitIndex = names.length + opamps.filter(({ loadNode }) => loadNode >= 0).length;
  const outputIndex = indexOf.get(network.output)!;
  const wanted = new Set([outputIndex, ...(options.observed ?? []).map((name) => knownNet(indexOf, name))]);
  const partition = new Partition(elements, opamps, rails, inputIndex, unitIndex, wanted);
  const blocks = chooseSubsteps(partition.blocks(), inputIndex, needs, { opamps, rails }).map((block) => ({
    ...block,
    nodal: nodalPlan(block),
  }));
  const circuit: CompiledCircuit = {
    structureKey: structureKey(network, rails, { needs, loads }, options),
    nodeNames: names,
    unitIndex,
    inputIndex,
    outputIndex,
    ...numbersOf(network, { names, elements, loads }, rest),
    sources: elements
      .filter(({ primitive }) => primitive.kind === 'voltageSource')
      .map(({ nodes, offset }) => ({ node: nodes[0]!, offset })),
    tracks: elements
      .filter(({ primitive }) => primitive.kind === 'resistor' && primitive.isTrack)
      .map(({ offset }) => offset),
    rails,
    opamps,
    blocks,
    sampleRateHz: options.sampleRateHz,
    module: undefined,
    tape: undefined,
    pairModule: undefined,
  };
  checkBlocks(circuit);
  const code = options.interpreted ? undefined : emitCircuit(circuit, { isPaired: options.paired ?? false });
  if (!code) return { ...circuit, tape: tapeOfCircuit(circuit) };
  return {
    ...circuit,
    module: compileModule(code.single),
    pairModule: code.paired && compileModule(code.paired),
  };
}

/** Nets that a refusal names: a block may have dozens. */
const MOST_NAMED = 6;

/** @throws NetworkError if a block's equations have no solution at this rate, though the circuit has an operating point. */
function checkBlocks(circuit: CompiledCircuit): void {
  const { blocks, parameters, nodeNames } = circuit;
  const memory = plainMemory(circuit);
  const knownCount = circuit.unitIndex + 1;
  const problems = blocks.flatMap((block, index) => {
    const rateHz = circuit.sampleRateHz * block.substeps;
    const coefficients = new BlockCoefficients(block, memory.blocks[index]!, knownCount, rateHz);
    if (coefficients.derive(parameters)) return [];
    const names = block.unknowns.map((node) => nodeNames[node]!);
    const others = names.length - MOST_NAMED;
    const place =
      others > 1 ? `${names.slice(0, MOST_NAMED).join(', ')} and ${others} more` : names.join(', ');
    const message = `The voltages of ${place} cannot be solved with these values. Undo the last swap.`;
    return [{ code: 'singular-block' as const, place, message }];
  });
  if (problems.length > 0) throw new NetworkError(problems);
}

/** The numbers of a network and the key of its structure, without compiling it. */
export interface CircuitValues {
  readonly structureKey: string;
  readonly parameters: Float64Array;
}

/**
 * Key and numbers of a changed network for a running circuit. If the key equals that of the circuit compiled
 * with the same options, the numbers can be sent to it; otherwise it must be compiled. Takes a few tenths of a
 * millisecond.
 */
export function circuitValues(unpruned: Network, options: CompileOptions): CircuitValues {
  const network = pruneNetwork(unpruned);
  const { indexOf, elements } = place(network);
  const { rails, loads, needs } = divisionOf(
    network,
    tracksOf(unpruned),
    elements,
    indexOf,
    options.sampleRateHz,
  );
  return {
    structureKey: structureKey(network, rails, { needs, loads }, options),
    parameters: withLoads(networkParameters(network), elements, loads),
  };
}

/** The rails, the nodes that no block solves, the loads of the op-amps, and what decides the steps of the blocks. */
function divisionOf(
  network: Network,
  tracks: ReadonlyMap<string, Track>,
  elements: readonly Element[],
  indexOf: ReadonlyMap<NodeName, number>,
  sampleRateHz: number,
): { rails: CompiledRail[]; held: ReadonlySet<number>; loads: readonly OutputLoad[]; needs: StepNeeds } {
  const { rails, hard } = compileRails(network, elements, indexOf, sampleRateHz);
  const inputIndex = indexOf.get(network.input)!;
  const held = heldNodes(inputIndex, elements, rails);
  const stepped = { elements, rails, inputIndex, temperatureK: network.temperatureK };
  const loads = loadsOf(network, tracks, elements, indexOf);
  const shared = sharedNodes(network, indexOf);
  // A rail that is solved joins what hangs on it: then nothing tells apart what is solved with an output.
  const areRailsHeld = shared.every((node) => held.has(node));
  return {
    rails,
    held,
    loads: areRailsHeld ? loads : loads.map(solvedWhole),
    needs: { hard, ...stepNeeds(stepped, held, sampleRateHz) },
  };
}

function loadsOf(
  network: Network,
  tracks: ReadonlyMap<string, Track>,
  elements: readonly Element[],
  indexOf: ReadonlyMap<NodeName, number>,
): OutputLoad[] {
  const inputIndex = indexOf.get(network.input)!;
  const rails = sharedNodes(network, indexOf);
  return outputLoads({ elements, inputIndex, rails, temperatureK: network.temperatureK, tracks });
}

function sharedNodes({ rails }: Network, indexOf: ReadonlyMap<NodeName, number>): number[] {
  return rails.flatMap((name) => indexOf.get(name) ?? []);
}

function solvedWhole(load: OutputLoad): OutputLoad {
  return load.knowledge === 'predicted' ? { ...load, knowledge: 'solved' } : load;
}

/**
 * Everything that a running circuit needs for other values, if `circuitValues` has found that the structure is the same.
 *
 * @param rest Of this network.
 */
export function circuitNumbers(unpruned: Network, rest: OperatingPoint): CircuitNumbers {
  const network = pruneNetwork(unpruned);
  const { names, indexOf, elements } = place(network);
  return numbersOf(
    network,
    { names, elements, loads: loadsOf(network, tracksOf(unpruned), elements, indexOf) },
    rest,
  );
}

interface PlacedNetwork {
  readonly names: readonly NodeName[];
  readonly elements: readonly Element[];
  readonly loads: readonly OutputLoad[];
}

function numbersOf(
  network: Network,
  { names, elements, loads }: PlacedNetwork,
  { volts, inductorA }: OperatingPoint,
): CircuitNumbers {
  const parameters = withLoads(networkParameters(network), elements, loads);
  const restInductorA = new Float64Array(parameters.length);
  for (const { primitive, offset } of elements) {
    if (primitive.kind === 'inductor') restInductorA[offset] = inductorA.get(primitive.ref) ?? 0;
  }
  return { parameters, restVolts: Float64Array.from(names, (name) => volts.get(name) ?? 0), restInductorA };
}

/** Writes the conductances of the op-amps' loads among the numbers. */
function withLoads(
  parameters: Float64Array,
  elements: readonly Element[],
  loads: readonly OutputLoad[],
): Float64Array {
  elements.filter(isOpamp).forEach(({ offset }, index) => {
    parameters[offset + LOAD] = loads[index]!.siemens;
  });
  return parameters;
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

/** @param held Nodes that no block solves. @param firstLoadNode The first free index of a node. */
function compileOpamps(
  elements: readonly Element[],
  held: ReadonlySet<number>,
  loads: readonly OutputLoad[],
  firstLoadNode: number,
): CompiledOpamp[] {
  const isPredicted = ({ knowledge }: OutputLoad) => knowledge === 'predicted';
  return elements.filter(isOpamp).map(({ primitive, nodes, offset }, index) => {
    const load = loads[index]!;
    const isSupplySolved = !held.has(nodes[3]!) || !held.has(nodes[4]!);
    return {
      isRanged: primitive.kind === 'opamp' && primitive.data.commonMode !== undefined,
      plus: nodes[0]!,
      minus: nodes[1]!,
      out: nodes[2]!,
      positive: nodes[3]!,
      negative: nodes[4]!,
      offset,
      isSupplySolved,
      load: load.knowledge,
      loadNode: isPredicted(load) ? firstLoadNode + loads.slice(0, index).filter(isPredicted).length : -1,
      loadResistors: isPredicted(load) ? resistorsAt(nodes[2]!, load.elements) : [],
      // Where a block solves the current out of the output, it has the input currents among its own.
      loadBiases: isSupplySolved || load.knowledge === 'solved' ? [] : biasesAt(nodes[2]!, elements),
    };
  });
}

function biasesAt(out: number, elements: readonly Element[]): number[] {
  return elements
    .filter(isOpamp)
    .flatMap(({ nodes, offset }) =>
      nodes.slice(0, 2).flatMap((node) => (node === out ? [offset + INPUT_BIAS] : [])),
    );
}

function resistorsAt(out: number, elements: readonly Element[]): { far: number; offset: number }[] {
  return elements
    .filter(({ primitive, nodes }) => primitive.kind === 'resistor' && nodes.includes(out))
    .map(({ nodes, offset }) => ({ far: nodes[0] === out ? nodes[1]! : nodes[0]!, offset }));
}

function isOpamp({ primitive }: Element): boolean {
  return primitive.kind === 'opamp';
}

function structureKey(
  network: Network,
  rails: readonly CompiledRail[],
  { needs, loads }: { readonly needs: StepNeeds; readonly loads: readonly OutputLoad[] },
  options: CompileOptions,
): string {
  const { hard, resonant, isLimited, restsAtLimit } = needs;
  const parts = network.primitives.map((primitive) => {
    if (!isDevice(primitive)) return `${primitive.kind}(${primitive.nodes.join(',')})`;
    const { equations, structureOf } = deviceModel(primitive.kind);
    const still = equations?.series && capacitancePlace(primitive) < 0 ? ' still' : '';
    return `${primitive.kind} ${structureOf(primitive)}${still}(${primitive.nodes.join(',')})`;
  });
  const settled = rails.map(({ node }) => node).join(',');
  const stepped = `${[...hard].join(',')} ${[...resonant].join(',')} ${isLimited} ${restsAtLimit}`;
  const loaded = loads.map(({ knowledge }) => knowledge).join(',');
  const observed = (options.observed ?? []).join(',');
  return [network.input, network.output, settled, stepped, loaded, observed, ...parts].join(';');
}
