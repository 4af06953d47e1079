import type { Network } from '../../engine/network/network.ts';
import { pruneNetwork } from '../../engine/network/prune.ts';
import { checkNetwork } from '../../engine/solver/network-check.ts';
import { type OperatingPoint, operatingPoint } from '../../engine/solver/operating-point.ts';

/**
 * Where a network rests without a signal: what decides whether it can be played at all.
 *
 * @param near Of the same network with slightly other values, which is quicker. @throws NetworkError, OperatingPointError.
 */
export function restOf(network: Network, near?: OperatingPoint): OperatingPoint {
  const pruned = pruneNetwork(network);
  checkNetwork(pruned);
  return operatingPoint(pruned, near);
}
