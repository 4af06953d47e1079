import { Refusal } from '../input/refusal.ts';
import type { Capacitor, Network, Primitive } from '../network/network.ts';
import { pruneNetwork } from '../network/prune.ts';
import { CAPACITOR_KINDS, capacitanceLeft } from '../parts/capacitor-kinds.ts';
import { type OperatingPoint, operatingPoint } from '../solver/operating-point.ts';
import type { Build } from './build.ts';

/** By the parts of a build, which stay the same while a knob turns: the search begins near the point before. */
const lastRest = new WeakMap<Build['parts'], OperatingPoint>();

/**
 * The network of a build with ceramic capacitors as large as they are at their DC voltage. The operating point does not
 * depend on capacitances, so it is found once. A network without one stays as it is; the solver says why.
 */
export function withBiasedCapacitors(network: Network, { parts }: Pick<Build, 'parts'>): Network {
  const kindOf = ({ origin }: Primitive) => {
    const kind = origin.unit === '' ? parts[origin.ref]?.dielectric : undefined;
    return kind !== undefined && CAPACITOR_KINDS[kind].left ? kind : undefined;
  };
  const isBiased = (part: Primitive): part is Capacitor =>
    part.kind === 'capacitor' && kindOf(part) !== undefined;
  if (!network.primitives.some(isBiased)) return network;
  const volts = restVolts(network, parts);
  if (!volts) return network;
  const primitives = network.primitives.map((part) => {
    if (!isBiased(part)) return part;
    const [a, b] = part.nodes.map((node) => volts.get(node) ?? 0);
    return { ...part, farads: part.farads * capacitanceLeft(kindOf(part)!, a! - b!) };
  });
  return { ...network, primitives };
}

function restVolts(network: Network, parts: Build['parts']): ReadonlyMap<string, number> | undefined {
  try {
    const rest = operatingPoint(pruneNetwork(network), lastRest.get(parts));
    lastRest.set(parts, rest);
    return rest.volts;
  } catch (error) {
    if (error instanceof Refusal) return undefined;
    throw error;
  }
}
