import type { Network } from '../../engine/network/network.ts';
import { pruneNetwork } from '../../engine/network/prune.ts';
import { checkNetwork } from '../../engine/solver/network-check.ts';
import { type OperatingPoint, operatingPoint } from '../../engine/solver/operating-point.ts';

/**
 * A network's operating point without a signal: it decides whether the network can be played.
 *
 * @param near That of the same network with slightly different values, which is faster. @throws NetworkError,
 * OperatingPointError.
 */
export function restOf(network: Network, near?: OperatingPoint): OperatingPoint {
  const pruned = pruneNetwork(network);
  checkNetwork(pruned);
  return operatingPoint(pruned, near);
}
