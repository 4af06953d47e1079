import { buildNoise, type NoiseInput } from '../../engine/analysis/build-noise.ts';
import type { Noise } from '../../engine/analysis/noise.ts';
import type { Build } from '../../engine/builds/build.ts';
import type { Surroundings } from '../../engine/builds/surroundings.ts';
import { Refusal } from '../../engine/input/refusal.ts';
import { kelvinOf } from '../../engine/network/temperature.ts';
import type { Slot } from '../../worklets/bench-messages.ts';
import { dataText } from '../data-text.ts';
import type { BenchState } from './bench-state.ts';
import { chainAround, chainHeard, loadBehind } from './played-network.ts';

/** The assumed input of a build. */
export const BENCH_NOISE_INPUT: NoiseInput = 'pickup';

/** What of the bench decides the noise of a build. */
export interface RestConditions {
  readonly temperatureC: number;
  readonly isBypassed: boolean;
  readonly around: Surroundings;
}

/** A guitar that is set up counts also while it plays live: its coil and controls are at the input. */
export function restConditions(
  {
    temperatureC,
    isBypassed,
    guitar,
    after,
    places,
  }: Pick<BenchState, 'temperatureC' | 'isBypassed' | 'guitar' | 'after' | 'places'>,
  slot: Slot,
): RestConditions {
  const instrument = guitar.isOn ? guitar.instrument : undefined;
  const chain = chainHeard(chainAround({ places }, slot), isBypassed);
  return { temperatureC, isBypassed, around: { instrument, load: loadBehind({ after }), chain } };
}

export function restConditionsText({ temperatureC, isBypassed, around }: RestConditions): string {
  const { instrument = null, load = null, chain = null } = around;
  return dataText([temperatureC, isBypassed, instrument, load, chain]);
}

const known = new WeakMap<Build, Map<string, Noise | undefined>>();

/**
 * Noise of a build in the present state; undefined if it cannot be solved. Computed once for each build; this
 * takes about ten milliseconds, so call it while the page is idle, or in a worker.
 */
export function restNoise(build: Build, conditions: RestConditions): Noise | undefined {
  const found = known.get(build) ?? new Map<string, Noise | undefined>();
  known.set(build, found);
  const key = restConditionsText(conditions);
  if (!found.has(key)) found.set(key, findNoise(build, conditions));
  return found.get(key);
}

function findNoise(build: Build, { temperatureC, isBypassed, around }: RestConditions): Noise | undefined {
  try {
    return buildNoise(build, {
      input: BENCH_NOISE_INPUT,
      temperatureK: kelvinOf(temperatureC),
      isBypassed,
      around,
    });
  } catch (error) {
    if (error instanceof Refusal) return undefined;
    throw error;
  }
}
