import type { NodeName } from '../devices/node.ts';
import { ofPiece, type PrimitiveBase } from '../devices/origin.ts';
import type { Primitive } from '../network/network.ts';
import type { ChainLink, DiodeEntry } from './catalogue-entry.ts';

/**
 * A string of `count` diodes of a type as primitives: the forward junctions and, in parallel, what conducts
 * backwards. Equal parts in series carry the same current, so a string of two-way parts equals two one-way
 * strings in parallel.
 *
 * @param string Name and origin of the string.
 */
export function diodePrimitives(
  { data, reverse, chain }: DiodeEntry,
  string: PrimitiveBase,
  count: number,
  nodes: readonly [anode: NodeName, cathode: NodeName],
): Primitive[] {
  if (chain) return chainPrimitives(chain, string, count, nodes);
  const forward: Primitive = { kind: 'diode', ...string, nodes, count, data };
  const [anode, cathode] = nodes;
  if (reverse === undefined || anode === cathode) return [forward];
  return [
    forward,
    {
      kind: 'diode',
      ...ofPiece(string, reverse.by),
      nodes: [cathode, anode],
      count,
      data: reverse.data,
    },
  ];
}

/** The links in series, `count` times, with nets of their own between them. */
function chainPrimitives(
  chain: readonly ChainLink[],
  string: PrimitiveBase,
  count: number,
  [anode, cathode]: readonly [NodeName, NodeName],
): Primitive[] {
  if (anode === cathode) return [];
  const links = Array.from({ length: count }, () => chain).flat();
  const netAt = (place: number) =>
    place === 0 ? anode : place === links.length ? cathode : `${string.ref} link ${place}`;
  return links.flatMap(({ entry, isReversed }, place) => {
    const [from, to] = [netAt(place), netAt(place + 1)];
    const link = ofPiece(string, `${place + 1}`);
    return diodePrimitives(entry, link, 1, isReversed ? [to, from] : [from, to]);
  });
}
