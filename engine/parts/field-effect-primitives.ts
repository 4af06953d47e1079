import type { NodeName } from '../devices/node.ts';
import { ofPart } from '../devices/origin.ts';
import type { Primitive } from '../network/network.ts';
import type { FetEntry } from './catalogue-entry.ts';
import { transistorCapacitors } from './transistor-capacitances.ts';

/**
 * A field-effect transistor of a type as primitives: its channel, and its capacitances.
 *
 * @param isHeld Whether a net has a constant voltage.
 */
export function fieldEffectPrimitives(
  entry: FetEntry,
  ref: string,
  nodes: readonly [drain: NodeName, gate: NodeName, source: NodeName],
  isHeld: (node: NodeName) => boolean,
): Primitive[] {
  const { kind, data } = entry;
  const own = ofPart(ref);
  return [{ kind, ...own, nodes, data }, ...transistorCapacitors(entry, own, nodes, isHeld)];
}
