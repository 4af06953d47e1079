import { type JudgedRate, judgedRate } from '../analysis/judged-rate.ts';
import type { RateAim } from '../analysis/offline-rate.ts';
import type { Network } from '../network/network.ts';
import type { Options } from './options.ts';
import { oversamplingOf } from './recording-input.ts';

/**
 * The rate that --oversample gives, otherwise one from `aim.from` up that suits all networks.
 *
 * @param pieces The recording in volts. @throws CliError; NetworkError, OperatingPointError.
 */
export function rateOf(
  options: Options,
  networks: readonly Network[],
  pieces: Iterable<Float64Array>,
  aim: RateAim,
): JudgedRate {
  const asked = oversamplingOf(options, aim.from);
  return judgedRate(networks, pieces, aim, options.oversample === undefined ? undefined : asked);
}
