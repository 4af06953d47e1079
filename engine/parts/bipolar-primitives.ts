import type { NodeName } from '../devices/node.ts';
import { ofPart, ofPiece, type PrimitiveBase } from '../devices/origin.ts';
import type { Primitive } from '../network/network.ts';
import type { BjtEntry } from './catalogue-entry.ts';
import { baseOhms } from './device-noise.ts';
import { transistorCapacitors } from './transistor-capacitances.ts';

/**
 * Leak between the inner base of a Darlington and its emitter, Ω: it takes nanoamperes of the microamperes there. A net that
 * touches transistors alone has no solution sample by sample.
 */
const LEAK_OHMS = 1e8;

/**
 * A bipolar transistor of a type as primitives: one, or two in one case if it is a Darlington, their capacitances, and the
 * resistance of the base. Where the collector is on a net of constant voltage, capacitances and base resistance are left out:
 * a follower's base is hardly driven, and 300 Ω carry a microampere there.
 *
 * @param isHeld Whether a net has a constant voltage.
 */
export function bipolarPrimitives(
  entry: BjtEntry,
  ref: string,
  [collector, base, emitter]: readonly [collector: NodeName, base: NodeName, emitter: NodeName],
  isHeld: (node: NodeName) => boolean,
): Primitive[] {
  const { kind, data, driver } = entry;
  const own = ofPart(ref);
  const ohms = baseOhms(entry);
  const isFollower = isHeld(collector);
  const noise = ohms === undefined || !isFollower ? {} : { noiseBaseOhms: ohms };
  const inside: NodeName = ohms === undefined || isFollower ? base : `${ref} base`;
  const resistance: Primitive[] =
    ohms === undefined || isFollower
      ? []
      : [{ kind: 'resistor', ...ofPiece(own, 'base resistance'), nodes: [base, inside], ohms }];
  const capacitors = (of: PrimitiveBase, from: NodeName, to: NodeName) =>
    transistorCapacitors(entry, of, [collector, from, to], isHeld);
  if (!driver)
    return [
      ...resistance,
      { kind, ...own, nodes: [collector, inside, emitter], data, ...noise },
      ...capacitors(own, base, emitter),
    ];
  const between: NodeName = `${ref} between`;
  const first = ofPiece(own, 'driver');
  return [
    ...resistance,
    { kind, ...first, nodes: [collector, inside, between], data: driver, ...noise },
    ...capacitors(first, base, between),
    { kind: 'resistor', ...ofPiece(own, 'leak'), nodes: [between, emitter], ohms: LEAK_OHMS },
    { kind, ...own, nodes: [collector, between, emitter], data },
    ...capacitors(own, between, emitter),
  ];
}
