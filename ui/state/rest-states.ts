import type { Build } from '../../engine/builds/build.ts';
import type { Instrument } from '../../engine/builds/instrument.ts';
import type { Network } from '../../engine/network/network.ts';
import { pruneNetwork } from '../../engine/network/prune.ts';
import { checkNetwork } from '../../engine/solver/network-check.ts';
import { type OperatingPoint, operatingPoint } from '../../engine/solver/operating-point.ts';

/** How a build is played, as far as its rest state depends on it. */
interface Playing {
  readonly temperatureC: number;
  readonly isBypassed: boolean;
  /** Ahead of the pedal, where it is played as parts. */
  readonly instrument: Instrument | undefined;
}

/** What beside the build decides its network, as one text. */
export function playedConditions({ temperatureC, isBypassed, instrument }: Playing): string {
  return JSON.stringify([temperatureC, isBypassed, instrument ?? null]);
}

interface Known {
  readonly conditions: string;
  readonly rest: OperatingPoint;
}

/** As it is checked, and as it is played where that is another. */
const KNOWN_PER_BUILD = 2;

/**
 * Rest states of builds on the bench. One takes milliseconds to solve, and whoever checks an edit and whoever plays it
 * want the same one: it is kept as long as the build itself.
 */
export class RestStates {
  readonly #known = new WeakMap<Build, readonly Known[]>();

  /**
   * @param conditions See {@link playedConditions}.
   * @param network Called where the rest state is not known. @param near That of the same build with slightly other
   * values, see operatingPoint.
   * @throws BuildError, NetworkError, OperatingPointError.
   */
  of(build: Build, conditions: string, network: () => Network, near?: OperatingPoint): OperatingPoint {
    const known = this.#known.get(build) ?? [];
    const found = known.find((each) => each.conditions === conditions);
    if (found) return found.rest;
    const pruned = pruneNetwork(network());
    checkNetwork(pruned);
    const rest = operatingPoint(pruned, near);
    this.#known.set(build, [{ conditions, rest }, ...known].slice(0, KNOWN_PER_BUILD));
    return rest;
  }
}
