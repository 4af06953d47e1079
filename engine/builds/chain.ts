import { INPUT_NET, OUTPUT_NET } from '../circuits/circuit-nets.ts';
import { GROUND, type NodeName } from '../devices/node.ts';
import { inUnit, ofPart } from '../devices/origin.ts';
import { compose, type Joint, type Unit } from '../network/compose.ts';
import type { Network } from '../network/network.ts';
import type { Build } from './build.ts';
import { bypassedNetworkOf } from './bypassed-network.ts';
import { CABLE_FARADS_PER_METRE, LEAST_CABLE_FARADS } from './instrument.ts';
import { networkOf } from './network-of-build.ts';
import { STAND_IN_LOAD } from './output-load.ts';

/** A pedal of a chain. */
export interface ChainPedal {
  readonly build: Build;
  /** Whether the effect is on; otherwise its footswitch bypasses it. */
  readonly isOn: boolean;
  /** Cable from its output to the next pedal, m; of no effect behind the last pedal. */
  readonly cableMetres: number;
}

/** Pedals that play into each other, in the order of the signal; one to {@link MOST_PEDALS}. */
export interface Chain {
  readonly pedals: readonly ChainPedal[];
}

/** The rest of a chain, as one of its pedals sees it. A lone pedal has none before or after it. */
export interface ChainPlace {
  readonly before: readonly ChainPedal[];
  readonly after: readonly ChainPedal[];
  /** Of the pedal itself. */
  readonly isOn: boolean;
  readonly cableMetres: number;
}

/** The place of a pedal that plays alone. */
export const LONE: ChainPlace = { before: [], after: [], isOn: true, cableMetres: 0 };
export const MOST_PEDALS = 3;
/** A patch cable between pedals on a board; common practice, no source. */
export const USUAL_PATCH_METRES = 0.3;

/** @param position Of the pedal, from 0. */
export function placeIn({ pedals }: Chain, position: number): ChainPlace {
  const { isOn, cableMetres } = pedals[position]!;
  return { before: pedals.slice(0, position), after: pedals.slice(position + 1), isOn, cableMetres };
}

export function chainWith(build: Build, { before, after, isOn, cableMetres }: ChainPlace): Chain {
  return { pedals: [...before, { build, isOn, cableMetres }, ...after] };
}

/**
 * Prefix of the names of a pedal's nets and parts in the network of its chain: its position, counted from 1, so that names do
 * not depend on the pedal that is looked at. A lone pedal has none.
 */
export function unitOf({ pedals }: Chain, position: number): string {
  return pedals.length === 1 ? '' : String(position + 1);
}

/** The same from the pedal's place. */
export function unitAt({ before, after }: ChainPlace): string {
  return before.length + after.length === 0 ? '' : String(before.length + 1);
}

/** The network of a pedal by itself, on or bypassed. @throws BuildError. */
export function networkOfPedal(
  { build, isOn }: Pick<ChainPedal, 'build' | 'isOn'>,
  temperatureK: number,
): Network {
  return (isOn ? networkOf : bypassedNetworkOf)(build, temperatureK);
}

/**
 * One network of all pedals: each output drives its cable and the next input, so they load each other. Every pedal has its own
 * supply. @throws BuildError; RangeError for no pedal, or too many.
 */
export function networkOfChain(chain: Chain, temperatureK: number): Network {
  const { length } = chain.pedals;
  if (length < 1 || length > MOST_PEDALS)
    throw new RangeError(`a chain has 1 to ${MOST_PEDALS} pedals, not ${length}`);
  return inChain(networkOfPedal(chain.pedals[0]!, temperatureK), placeIn(chain, 0));
}

/** The network of a pedal, in any state of it, with the rest of its chain; input and output are those of the chain. */
export function inChain(network: Network, { before, after, cableMetres }: ChainPlace): Network {
  const own = { network, cableMetres };
  const others = (pedals: readonly ChainPedal[]) =>
    pedals.map((pedal) => ({ ...pedal, network: networkOfPedal(pedal, network.temperatureK) }));
  const pedals = [...others(before), own, ...others(after)];
  if (pedals.length === 1) return network;
  const pedalUnits = withoutStandIns(pedals.map((pedal) => pedal.network)).map(
    (each, position): Unit => ({ id: String(position + 1), network: each }),
  );
  const links = pedals.slice(1).map((_, position) => {
    const cable = patchCable(pedals[position]!.cableMetres, network.temperatureK);
    return { id: `after ${position + 1}`, network: cable };
  });
  const joints = links.map((cable, position): Joint => {
    const [from, to] = [pedalUnits[position]!, pedalUnits[position + 1]!];
    return [
      { unit: from.id, net: from.network.output },
      { unit: cable.id, net: cable.network.output },
      { unit: to.id, net: to.network.input },
    ];
  });
  const units = pedalUnits.flatMap((unit, position) => [unit, ...links.slice(position, position + 1)]);
  return compose(units, joints).network;
}

/** A load that stands for the next input remains where nothing else defines the output: behind pedals that are all wires. */
function withoutStandIns(networks: readonly Network[]): readonly Network[] {
  const areWires = networks.every(({ input, output }) => input === output);
  return networks.map((network, position) => {
    if (areWires && position === networks.length - 1) return network;
    const primitives = network.primitives.filter(({ origin }) => origin.ref !== STAND_IN_LOAD);
    return { ...network, primitives };
  });
}

/** Its capacitance; its resistance and inductance do nothing below 20 kHz. */
function patchCable(metres: number, temperatureK: number): Network {
  const farads = Math.max(LEAST_CABLE_FARADS, metres * CABLE_FARADS_PER_METRE);
  return {
    input: 'plug',
    output: 'plug',
    rails: [],
    temperatureK,
    primitives: [{ kind: 'capacitor', ...ofPart('cable'), nodes: ['plug', GROUND], farads }],
  };
}

/**
 * The node of a pedal's node in the network of its chain. Its input is one node with the output of the pedal before, and has
 * that one's name; input and output of a true bypass are one node too.
 *
 * @param position Of the pedal, from 0.
 */
export function nodeInChain(chain: Chain, position: number, node: NodeName): NodeName {
  if (node === GROUND) return GROUND;
  const isWire = isTrueBypass(chain.pedals[position]!);
  if (node === OUTPUT_NET && isWire) return nodeInChain(chain, position, INPUT_NET);
  if (node === INPUT_NET && position > 0) return nodeInChain(chain, position - 1, OUTPUT_NET);
  return inUnit(unitOf(chain, position), node);
}

/** A net of a pedal, by the pedal's position and the net's own name. */
export interface ChainNet {
  readonly position: number;
  readonly net: NodeName;
}

/** The nets of pedals that a node of the chain's network is; none for ground, and for a node of a cable or a guitar. */
export function netsOfNode(chain: Chain, node: NodeName): readonly ChainNet[] {
  if (node === GROUND) return [];
  return chain.pedals.flatMap((_, position): ChainNet[] => {
    // No net of a circuit has a colon in its name.
    const own = node.slice(node.indexOf(':') + 1);
    const candidates = new Set([INPUT_NET, OUTPUT_NET, own]);
    return [...candidates]
      .filter((net) => !net.includes(':') && nodeInChain(chain, position, net) === node)
      .map((net) => ({ position, net }));
  });
}

function isTrueBypass({ build, isOn }: ChainPedal): boolean {
  return !isOn && build.bypass === 'true';
}
