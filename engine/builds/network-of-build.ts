import { type Circuit, type FootswitchPosition, partsOf } from '../circuits/circuit.ts';
import { circuitNets, GROUND_NET, INPUT_NET, OUTPUT_NET } from '../circuits/circuit-nets.ts';
import { fittedCircuit } from '../circuits/fitted-circuit.ts';
import { type PartSpec, pinsOf } from '../circuits/part-spec.ts';
import type { NodeName } from '../devices/node.ts';
import { ofPart, ofPiece, type PrimitiveBase } from '../devices/origin.ts';
import { NOMINAL_TEMPERATURE_K } from '../devices/physics.ts';
import type { Network, Primitive } from '../network/network.ts';
import { networkAtTemperature } from '../network/temperature.ts';
import { bipolarPrimitives } from '../parts/bipolar-primitives.ts';
import type { CapacitorKind } from '../parts/capacitor-kinds.ts';
import { capacitorPrimitives } from '../parts/capacitor-primitives.ts';
import { type CapacitanceEnd, withCapacitance } from '../parts/diode-capacitance.ts';
import { diodePrimitives } from '../parts/diode-primitives.ts';
import { fieldEffectPrimitives } from '../parts/field-effect-primitives.ts';
import { opampPrimitives } from '../parts/opamp-primitives.ts';
import { bjtEntry, diodeEntry, fetEntry, opampEntry } from '../parts/part-types.ts';
import { parseValue } from '../units/value-code.ts';
import { withBiasedCapacitors } from './biased-capacitors.ts';
import type { Build, PartSetting } from './build.ts';
import { converterPrimitives, isPumpCapacitor, pumpedNets } from './charge-pump.ts';
import { withLeakage } from './leakage.ts';
import { potTrack, trackHalves } from './pot-tracks.ts';
import { withPartsSet } from './set-of-parts.ts';

/**
 * The network of a build: every part as primitives with numbers, switches and jumpered parts as joined nets,
 * without parts that are not fitted.
 *
 * @param temperatureK Temperature of the bench, at which the devices have their numbers.
 */
export function networkOf(build: Build, temperatureK: number): Network {
  return networkInPosition(build, 'on', temperatureK);
}

/** The same with the footswitch in either position, where it is part of the circuit. */
export function networkInPosition(build: Build, position: FootswitchPosition, temperatureK: number): Network {
  const stageIds = build.circuit.stages.map(({ id }) => id);
  const network = networkOfStages(build, stageIds, temperatureK, position);
  return withBiasedCapacitors(withLeakage(network, build), build);
}

/**
 * The network of some stages of a build; the caller connects nets that only the other stages drive, and gives ceramic capacitors
 * their DC voltage.
 */
export function networkOfStages(
  build: Build,
  stageIds: readonly string[],
  temperatureK: number,
  position: FootswitchPosition | 'apart' = 'on',
): Network {
  const circuit = fittedCircuit(build);
  const nets = pumpedNets(build, netsOf(build, position));
  const rails = [...new Set(circuit.rails.map((rail) => nets(`:${rail}`)))];
  const primitives = [...partsOf(circuit)]
    .filter(([ref, { stage }]) => stageIds.includes(stage.id) && !isPumpCapacitor(circuit, ref))
    .flatMap(([ref, { part, stage }]) => {
      const nodes = pinsOf(part).map((pin) => nets(`${ref}.${pin}`));
      const isAtRail = nodes.includes(GROUND_NET) && nodes.some((node) => rails.includes(node));
      const isHeld = (node: NodeName) => node === GROUND_NET || rails.includes(node);
      const isSwitching = stage.bypass !== undefined;
      return primitivesOf(build, { ref, part, nodes, isAtRail, isHeld, isSwitching, nets });
    });
  const network: Network = {
    input: INPUT_NET,
    output: OUTPUT_NET,
    rails,
    temperatureK: NOMINAL_TEMPERATURE_K,
    primitives,
  };
  return withPartsSet(networkAtTemperature(network, temperatureK), build);
}

/**
 * Net of every pin ("R4.1") of a build, after switches and jumpered parts have joined some.
 *
 * @param footswitch Its position; 'apart' where it joins nothing.
 */
export function netsOf(
  build: Build,
  footswitch: FootswitchPosition | 'apart' = 'on',
): (pin: string) => NodeName {
  const circuit = fittedCircuit(build);
  return joinedNets(build, circuit, (ref) => positionOf(build, circuit, ref, footswitch));
}

/**
 * The same for the board alone: what is switched off the board, footswitch and toggle switches, joins nothing. Links on the board
 * join what they join.
 */
export function boardNetsOf(build: Build): (pin: string) => NodeName {
  const circuit = fittedCircuit(build);
  const isToggle = (ref: string) => circuit.switches.some((each) => each.ref === ref && !each.isWiring);
  return joinedNets(build, circuit, (ref) => (isToggle(ref) ? '' : positionOf(build, circuit, ref, 'apart')));
}

/** @param position Of each switch; one that it does not have joins nothing. */
function joinedNets(
  build: Build,
  circuit: Circuit,
  position: (ref: string) => string,
): (pin: string) => NodeName {
  const { netOf } = circuitNets(circuit);
  const alias = new Map<NodeName, NodeName>();
  const root = (net: NodeName): NodeName => {
    const next = alias.get(net);
    return next === undefined ? net : root(next);
  };
  const join = (first: string, second: string) => {
    const a = root(netOf.get(first)!);
    const b = root(netOf.get(second)!);
    if (a === b) return;
    const [kept, lost] = rank(circuit, a) >= rank(circuit, b) ? [a, b] : [b, a];
    alias.set(lost, kept);
  };
  for (const [ref, { part }] of partsOf(circuit)) {
    if (part.kind === 'switch') {
      for (const [a, b] of part.positions[position(ref)] ?? []) join(`${ref}.${a}`, `${ref}.${b}`);
    } else if (build.parts[ref]?.fit === 'bridged') {
      const [first, ...others] = pinsOf(part);
      for (const pin of others) join(`${ref}.${first}`, `${ref}.${pin}`);
    }
  }
  return (pin) => root(netOf.get(pin)!);
}

/** The node that a net of the circuit has become in a build; undefined where the circuit has no such net. */
export function nodeOfNet(
  build: Build,
  net: string,
  position: FootswitchPosition = 'on',
): NodeName | undefined {
  const { netOf } = circuitNets(fittedCircuit(build));
  const pin = [...netOf].find(([, name]) => name === net)?.[0];
  return pin === undefined ? undefined : netsOf(build, position)(pin);
}

/** The name that stays where two nets are joined. */
function rank(circuit: Circuit, net: NodeName): number {
  if (net === GROUND_NET) return 4;
  if (net === INPUT_NET || net === OUTPUT_NET) return 3;
  if (circuit.rails.includes(net)) return 2;
  return net.includes('.') ? 0 : 1;
}

function positionOf(
  build: Build,
  circuit: Circuit,
  ref: string,
  footswitch: FootswitchPosition | 'apart',
): string {
  if (circuit.bypass.footswitch?.includes(ref)) return footswitch;
  const control = circuit.switches.find((candidate) => candidate.ref === ref);
  return (control && build.switches[control.name]) ?? control?.start ?? '';
}

interface Place {
  readonly ref: string;
  readonly part: PartSpec;
  readonly nodes: readonly NodeName[];
  /** Between a rail and ground. */
  readonly isAtRail: boolean;
  /** Whether a net is ground or a rail. */
  readonly isHeld: (node: NodeName) => boolean;
  /** Whether a transistor there is a switch of the bypass. */
  readonly isSwitching: boolean;
  readonly nets: (pin: string) => NodeName;
}

function primitivesOf(
  build: Build,
  { ref, part, nodes, isAtRail, isHeld, isSwitching, nets }: Place,
): Primitive[] {
  if (part.kind === 'switch') return [];
  const setting = build.parts[part.kind === 'opamp' ? part.package : ref]!;
  if (setting.fit !== undefined) return [];
  switch (part.kind) {
    case 'pot':
      return potTracks(build, ref, setting, nodes);
    case 'opamp': {
      const [plus, minus, out, positive, negative] = nodes as [string, string, string, string, string];
      return opampPrimitives(opampEntry(setting.type!), ref, [plus, minus, out, positive, negative]);
    }
    case 'npn':
    case 'pnp':
      return bipolarPrimitives(bjtEntry(setting.type!), ref, three(nodes), isHeld);
    case 'nJfet':
    case 'pJfet':
    case 'nMosfet':
      return fieldEffectPrimitives(
        fetEntry(setting.type!),
        ref,
        three(nodes),
        isSwitching ? () => true : isHeld,
      );
    case 'converter':
      return converterPrimitives(build, ref, part, nets);
    default: {
      const own = ofPart(ref);
      const between = two(nodes);
      const { dielectric, capacitance } = setting;
      const made = { dielectric, capacitance, isAtRail };
      const code = setting.value ?? setting.type!;
      const first = twoTerminal(part.kind, own, { code, count: setting.count ?? 1, ...made }, between);
      if (setting.piggyback === undefined) return first;
      const second = { code: setting.piggyback, count: 1, ...made };
      return [...first, ...twoTerminal(part.kind, ofPiece(own, 'piggyback'), second, between)];
    }
  }
}

interface SolderedPart extends Pick<Place, 'isAtRail'> {
  readonly code: string;
  readonly count: number;
  readonly dielectric: CapacitorKind | undefined;
  readonly capacitance: CapacitanceEnd | undefined;
}

function twoTerminal(
  kind: 'resistor' | 'capacitor' | 'inductor' | 'diode' | 'supply',
  own: PrimitiveBase,
  { code, count, dielectric, capacitance, isAtRail }: SolderedPart,
  nodes: readonly [NodeName, NodeName],
): Primitive[] {
  switch (kind) {
    case 'resistor':
      return [{ kind, ...own, nodes, ohms: parseValue(code, 'ohms') }];
    case 'capacitor':
      return capacitorPrimitives(dielectric, own, { farads: parseValue(code, 'farads'), isAtRail }, nodes);
    case 'inductor':
      return [{ kind, ...own, nodes, henries: parseValue(code, 'henries') }];
    case 'supply':
      return [sourceOf(own, nodes, parseValue(code, 'volts'))];
    case 'diode':
      return diodePrimitives(withCapacitance(diodeEntry(code), capacitance), own, count, nodes);
  }
}

/** A source stands on ground by its second node: with its plus at ground it has negative volts. */
function sourceOf(
  own: PrimitiveBase,
  [plus, minus]: readonly [NodeName, NodeName],
  volts: number,
): Primitive {
  const kind = 'voltageSource';
  return plus === GROUND_NET
    ? { kind, ...own, nodes: [minus, plus], volts: -volts }
    : { kind, ...own, nodes: [plus, minus], volts };
}

/** The two halves of the track at the knob's position. */
function potTracks(build: Build, ref: string, setting: PartSetting, nodes: readonly NodeName[]): Primitive[] {
  const [ccw, wiper, cw] = three(nodes);
  const [below, above] = trackHalves(potTrack(build, ref, setting));
  const half = (end: string, between: readonly [NodeName, NodeName], ohms: number): Primitive => ({
    kind: 'resistor',
    ...ofPiece(ofPart(ref), end),
    nodes: between,
    ohms,
    isTrack: true,
  });
  return [half('ccw', [ccw, wiper], below), half('cw', [wiper, cw], above)];
}

function two(nodes: readonly NodeName[]): [NodeName, NodeName] {
  return [nodes[0]!, nodes[1]!];
}

function three(nodes: readonly NodeName[]): [NodeName, NodeName, NodeName] {
  return [nodes[0]!, nodes[1]!, nodes[2]!];
}
