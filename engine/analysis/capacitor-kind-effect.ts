import type { Build } from '../builds/build.ts';
import { networkWithin, type Surroundings } from '../builds/surroundings.ts';
import type { Network } from '../network/network.ts';
import { pruneNetwork } from '../network/prune.ts';
import { operatingPoint } from '../solver/operating-point.ts';
import { FrequencyResponse, logarithmicFrequencies } from './frequency-response.ts';

/** What the kind of a capacitor changes. */
export interface KindEffect {
  /** DC voltage across it, V, and its capacitance there, F, with all in parallel. */
  readonly volts: number;
  readonly farads: number;
  /** Largest change of the small-signal response between 20 Hz and 20 kHz, dB, and where, Hz. */
  readonly changeDb: number;
  readonly hz: number;
}

const HEARD_HZ = logarithmicFrequencies(20, 20_000, 61);

/** State of the bench. */
export interface KindConditions {
  readonly temperatureK: number;
  readonly around: Surroundings;
}

/**
 * The effect of a capacitor's kind, with what else is in the build and around it and the knobs where they stand; undefined if it is not
 * fitted. @throws NetworkError, OperatingPointError.
 */
export function capacitorKindEffect(
  build: Build,
  ref: string,
  { temperatureK, around }: KindConditions,
): KindEffect | undefined {
  const { dielectric: _, ...ideal } = build.parts[ref]!;
  const withKind = networkWithin(build, temperatureK, around);
  const without = networkWithin({ ...build, parts: { ...build.parts, [ref]: ideal } }, temperatureK, around);
  const own = withKind.primitives.filter(({ kind, origin }) => kind === 'capacitor' && origin.ref === ref);
  if (own.length === 0) return undefined;
  const { volts } = operatingPoint(pruneNetwork(withKind));
  const [a, b] = own[0]!.nodes.map((node) => volts.get(node) ?? 0);
  const changes = changesBetween(without, withKind);
  const worst = changes.reduce((most, each) =>
    Math.abs(each.changeDb) > Math.abs(most.changeDb) ? each : most,
  );
  const farads = own.reduce((sum, part) => sum + (part.kind === 'capacitor' ? part.farads : 0), 0);
  return { volts: a! - b!, farads, ...worst };
}

function changesBetween(before: Network, after: Network) {
  const [first, second] = [before, after].map((network) => new FrequencyResponse(network)) as [
    FrequencyResponse,
    FrequencyResponse,
  ];
  return HEARD_HZ.map((hz) => ({
    hz,
    changeDb: second.at(hz, after.output).decibels - first.at(hz, before.output).decibels,
  }));
}
