import type { Build } from '../builds/build.ts';
import { LONE, unitAt } from '../builds/chain.ts';
import { networkWithin, type PlayedConditions } from '../builds/surroundings.ts';
import { pruneNetwork } from '../network/prune.ts';
import { operatingPoint } from '../solver/operating-point.ts';
import { largestChange, type ResponseChange } from './response-change.ts';

/** What the kind of a capacitor changes. */
export interface KindEffect extends ResponseChange {
  /** DC voltage across it, V, and its capacitance there, F, with all in parallel. */
  readonly volts: number;
  readonly farads: number;
}

/**
 * The effect of a capacitor's kind, with what else is in the build and around it and the knobs where they stand; undefined if it is not
 * fitted. @throws NetworkError, OperatingPointError.
 */
export function capacitorKindEffect(
  build: Build,
  ref: string,
  { temperatureK, around }: PlayedConditions,
): KindEffect | undefined {
  const { dielectric: _, ...ideal } = build.parts[ref]!;
  const withKind = networkWithin(build, temperatureK, around);
  const without = networkWithin({ ...build, parts: { ...build.parts, [ref]: ideal } }, temperatureK, around);
  const unit = unitAt(around.chain ?? LONE);
  const own = withKind.primitives.filter(
    ({ kind, origin }) => kind === 'capacitor' && origin.unit === unit && origin.ref === ref,
  );
  if (own.length === 0) return undefined;
  const { volts } = operatingPoint(pruneNetwork(withKind));
  const [a, b] = own[0]!.nodes.map((node) => volts.get(node) ?? 0);
  const farads = own.reduce((sum, part) => sum + (part.kind === 'capacitor' ? part.farads : 0), 0);
  return { volts: a! - b!, farads, ...largestChange(without, withKind) };
}
