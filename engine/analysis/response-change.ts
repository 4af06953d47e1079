import type { Network } from '../network/network.ts';
import { FrequencyResponse, logarithmicFrequencies } from './frequency-response.ts';

const [LOWEST_HZ, HIGHEST_HZ] = [20, 20_000];

/** Largest change of the small-signal response, and where. */
export interface ResponseChange {
  readonly changeDb: number;
  readonly hz: number;
}

/** From one network to the other, between 20 Hz and `highestHz`. @throws NetworkError, OperatingPointError. */
export function largestChange(before: Network, after: Network, highestHz = HIGHEST_HZ): ResponseChange {
  const [first, second] = [new FrequencyResponse(before), new FrequencyResponse(after)];
  const changes = logarithmicFrequencies(LOWEST_HZ, highestHz, 61).map((hz) => ({
    hz,
    changeDb: second.at(hz, after.output).decibels - first.at(hz, before.output).decibels,
  }));
  return changes.reduce((most, each) => (Math.abs(each.changeDb) > Math.abs(most.changeDb) ? each : most));
}
