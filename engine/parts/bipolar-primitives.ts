import type { NodeName } from '../devices/node.ts';
import { ofPart, ofPiece } from '../devices/origin.ts';
import type { Primitive } from '../network/network.ts';
import type { BjtEntry } from './catalogue-entry.ts';
import { baseOhms } from './device-noise.ts';

/** A bipolar transistor of a type as primitives: one, or two in one case if it is a Darlington. */
export function bipolarPrimitives(
  entry: BjtEntry,
  ref: string,
  [collector, base, emitter]: readonly [collector: NodeName, base: NodeName, emitter: NodeName],
): Primitive[] {
  const { kind, data, driver } = entry;
  const own = ofPart(ref);
  const noiseBaseOhms = baseOhms(entry);
  const noise = noiseBaseOhms === undefined ? {} : { noiseBaseOhms };
  if (!driver) return [{ kind, ...own, nodes: [collector, base, emitter], data, ...noise }];
  const between: NodeName = `${ref} between`;
  return [
    { kind, ...ofPiece(own, 'driver'), nodes: [collector, base, between], data: driver, ...noise },
    { kind, ...own, nodes: [collector, between, emitter], data },
  ];
}
