import { type Circuit, type FootswitchPosition, partsOf } from '../circuits/circuit.ts';
import { circuitNets, GROUND_NET, INPUT_NET, OUTPUT_NET } from '../circuits/circuit-nets.ts';
import { pinsOf } from '../circuits/part-spec.ts';
import type { NodeName } from '../devices/node.ts';
import type { Network } from '../network/network.ts';
import { pruneNetwork } from '../network/prune.ts';
import type { Build } from './build.ts';
import { type ChainPlace, chainWith, nodeInChain } from './chain.ts';
import { isPumpCapacitor, isPumpPin } from './charge-pump.ts';
import { nodeOfNet } from './network-of-build.ts';

/** A group of nets of a circuit, by their names. */
export interface NetGroup {
  readonly title: string;
  readonly nets: readonly string[];
}

/** Every net for the probe that a build's network can have, each with the first stage that has it; rails come last. */
export function netsByStage(circuit: Circuit): readonly NetGroup[] {
  const { netOf } = circuitNets(circuit);
  const rails = circuit.rails.map((rail) => netOf.get(`:${rail}`)!);
  const seen = new Set([GROUND_NET, ...rails]);
  const present = netsInNetworks(circuit);
  const groups = circuit.stages.map(({ title, parts }) => {
    const nets = Object.entries(parts).flatMap(([ref, part]) =>
      pinsOf(part).map((pin) => netOf.get(`${ref}.${pin}`)!),
    );
    const own = [...new Set(nets)].filter((net) => present.has(net) && !seen.has(net));
    for (const net of own) seen.add(net);
    return { title, nets: own };
  });
  return [...groups, { title: 'Rails', nets: [...new Set(rails)] }].filter(({ nets }) => nets.length > 0);
}

/** Without those that only contacts of the footswitch touch, and those that only pump: the averaged network has neither. */
function netsInNetworks(circuit: Circuit): ReadonlySet<string> {
  const { netOf } = circuitNets(circuit);
  const pins = [...partsOf(circuit)]
    .filter(([ref]) => !circuit.bypass.footswitch?.includes(ref) && !isPumpCapacitor(circuit, ref))
    .flatMap(([ref, { part }]) =>
      pinsOf(part)
        .filter((pin) => part.kind !== 'converter' || !isPumpPin(pin))
        .map((pin) => netOf.get(`${ref}.${pin}`)!),
    );
  return new Set([INPUT_NET, OUTPUT_NET, ...pins]);
}

/**
 * The node of a net in the network of a build, after switches and jumpered parts have joined some.
 *
 * @param network The build's, the build's with the pedal off, or that of its chain.
 * @param place Position of its footswitch in this network; for a pedal of a chain, its place there.
 * @returns Undefined if the circuit has no such net, or if no current can flow there in this build.
 */
export function probedNode(
  build: Build,
  network: Network,
  net: string,
  place: FootswitchPosition | ChainPlace = 'on',
): NodeName | undefined {
  const node =
    typeof place === 'string' ? ownNode(build, network, net, place) : chainedNode(build, net, place);
  if (node === undefined) return undefined;
  const { input, output, primitives } = pruneNetwork(network);
  const isThere = node === input || node === output || primitives.some(({ nodes }) => nodes.includes(node));
  return isThere ? node : undefined;
}

function ownNode(
  build: Build,
  network: Network,
  net: string,
  position: FootswitchPosition,
): NodeName | undefined {
  const named = nodeOfNet(build, net, position);
  // With true bypass the output of the switched-off pedal is its input.
  return named === OUTPUT_NET ? network.output : named;
}

function chainedNode(build: Build, net: string, place: ChainPlace): NodeName | undefined {
  const named = nodeOfNet(build, net, place.isOn ? 'on' : 'bypassed');
  return named === undefined ? undefined : nodeInChain(chainWith(build, place), place.before.length, named);
}
