import { buildNoise, type NoiseInput } from '../../engine/analysis/build-noise.ts';
import type { Noise } from '../../engine/analysis/noise.ts';
import type { Build } from '../../engine/builds/build.ts';
import { Refusal } from '../../engine/input/refusal.ts';
import { kelvinOf } from '../../engine/network/temperature.ts';
import type { BenchState } from './bench-state.ts';

/** The assumed input of a build. */
export const BENCH_NOISE_INPUT: NoiseInput = 'pickup';

const known = new WeakMap<Build, Map<string, Noise | undefined>>();

/**
 * Noise of a build in the present state; undefined if it cannot be solved. Computed once for each build; this
 * takes about ten milliseconds, so call it while the page is idle, or in a worker.
 */
export function restNoise(
  build: Build,
  { temperatureC, isBypassed }: Pick<BenchState, 'temperatureC' | 'isBypassed'>,
): Noise | undefined {
  const found = known.get(build) ?? new Map<string, Noise | undefined>();
  known.set(build, found);
  const key = `${temperatureC} ${isBypassed}`;
  if (!found.has(key)) found.set(key, findNoise(build, temperatureC, isBypassed));
  return found.get(key);
}

function findNoise(build: Build, temperatureC: number, isBypassed: boolean): Noise | undefined {
  try {
    return buildNoise(build, { input: BENCH_NOISE_INPUT, temperatureK: kelvinOf(temperatureC), isBypassed });
  } catch (error) {
    if (error instanceof Refusal) return undefined;
    throw error;
  }
}
