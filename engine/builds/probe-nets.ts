import type { Circuit } from '../circuits/circuit.ts';
import { circuitNets, GROUND_NET } from '../circuits/circuit-nets.ts';
import { pinsOf } from '../circuits/part-spec.ts';
import type { NodeName } from '../devices/node.ts';
import type { Network } from '../network/network.ts';
import { pruneNetwork } from '../network/prune.ts';
import type { Build } from './build.ts';
import { nodeOfNet } from './network-of-build.ts';

/** A group of nets of a circuit, by their names. */
export interface NetGroup {
  readonly title: string;
  readonly nets: readonly string[];
}

/** Every net for the probe, each with the first stage that has it; rails come last. */
export function netsByStage(circuit: Circuit): readonly NetGroup[] {
  const { netOf } = circuitNets(circuit);
  const rails = circuit.rails.map((rail) => netOf.get(`:${rail}`)!);
  const seen = new Set([GROUND_NET, ...rails]);
  const groups = circuit.stages.map(({ title, parts }) => {
    const nets = Object.entries(parts).flatMap(([ref, part]) =>
      pinsOf(part).map((pin) => netOf.get(`${ref}.${pin}`)!),
    );
    const own = [...new Set(nets)].filter((net) => !seen.has(net));
    for (const net of own) seen.add(net);
    return { title, nets: own };
  });
  return [...groups, { title: 'Rails', nets: [...new Set(rails)] }].filter(({ nets }) => nets.length > 0);
}

/**
 * The node of a net in the network of a build, after switches and jumpered parts have joined some.
 *
 * @param network The build's, or the build's with the pedal off. @returns Undefined if the circuit has no such
 * net, or if no current can flow there in this build.
 */
export function probedNode(build: Build, network: Network, net: string): NodeName | undefined {
  const node = nodeOfNet(build, net);
  if (node === undefined) return undefined;
  const { input, output, primitives } = pruneNetwork(network);
  const isThere = node === input || node === output || primitives.some(({ nodes }) => nodes.includes(node));
  return isThere ? node : undefined;
}
