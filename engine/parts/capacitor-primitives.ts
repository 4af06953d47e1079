import type { NodeName } from '../devices/node.ts';
import { ofPiece, type PrimitiveBase } from '../devices/origin.ts';
import type { Primitive } from '../network/network.ts';
import { CAPACITOR_KINDS, type CapacitorKind } from './capacitor-kinds.ts';

/**
 * A capacitor as primitives: its capacitance without DC, and what leaks and resists beside and before it. Between a rail and
 * ground its series resistance of some ohms is left out: the rail would have no capacitor of its own and would have to be
 * solved with all its blocks.
 *
 * @param own Name and origin of the part.
 */
export function capacitorPrimitives(
  kind: CapacitorKind | undefined,
  own: PrimitiveBase,
  { farads, isAtRail }: { readonly farads: number; readonly isAtRail: boolean },
  nodes: readonly [NodeName, NodeName],
): Primitive[] {
  const { leakagePerFarad, seriesOhmFarads } = kind === undefined ? {} : CAPACITOR_KINDS[kind];
  const [first, second] = nodes;
  const hasSeries = seriesOhmFarads !== undefined && !isAtRail && first !== second;
  const inner = hasSeries ? `${own.ref} inside` : second;
  const parts: Primitive[] = [{ kind: 'capacitor', ...own, nodes: [first, inner], farads }];
  if (hasSeries)
    parts.push({
      kind: 'resistor',
      ...ofPiece(own, 'series'),
      nodes: [inner, second],
      ohms: seriesOhmFarads / farads,
    });
  if (leakagePerFarad !== undefined && first !== second)
    parts.push({ kind: 'resistor', ...ofPiece(own, 'leakage'), nodes, ohms: 1 / (leakagePerFarad * farads) });
  return parts;
}
