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
 * A bipolar transistor of a type as primitives: one, or two in one case if it is a Darlington, and their capacitances.
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
  const noiseBaseOhms = baseOhms(entry);
  const noise = noiseBaseOhms === undefined ? {} : { noiseBaseOhms };
  const capacitors = (of: PrimitiveBase, from: NodeName, to: NodeName) =>
    transistorCapacitors(entry, of, [collector, from, to], isHeld);
  if (!driver)
    return [
      { kind, ...own, nodes: [collector, base, emitter], data, ...noise },
      ...capacitors(own, base, emitter),
    ];
  const between: NodeName = `${ref} between`;
  const first = ofPiece(own, 'driver');
  return [
    { kind, ...first, nodes: [collector, base, between], data: driver, ...noise },
    ...capacitors(first, base, between),
    { kind: 'resistor', ...ofPiece(own, 'leak'), nodes: [between, emitter], ohms: LEAK_OHMS },
    { kind, ...own, nodes: [collector, between, emitter], data },
    ...capacitors(own, between, emitter),
  ];
}
