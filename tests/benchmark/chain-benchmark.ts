import { type Chain, networkOfChain, USUAL_PATCH_METRES } from '../../engine/builds/chain.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import { presetBuild } from '../preset-build.ts';
import { SAMPLE_RATE_HZ, timeNetwork, turnedBuild } from './solver-benchmark.ts';

/** The time of two sides of the bench that are chains. */
export interface ChainCost {
  readonly sides: string;
  readonly oversampling: 8 | 16;
  /** Of both sides, for each oversampled sample, with resampling. */
  readonly nsPerSample: number;
  /** Share of a core that both sides take. */
  readonly share: number;
  /** The same while one of them fades to a changed circuit, which then plays beside the old one. */
  readonly shareInFade: number;
}

type Names = readonly string[];

/** What plays on both sides, as presets in the order of the signal. */
export interface ChainCase {
  readonly name: string;
  readonly a: Names;
  readonly b: Names;
  /** Rate at which the time is measured. */
  readonly oversampling: 8 | 16;
}

/** Sides in the same order are solved together; others each alone. */
export const CHAIN_CASES: readonly ChainCase[] = [
  { a: ['soft-plain', 'clean-plain'], b: ['soft-plain', 'clean-plain'], oversampling: 16 },
  { a: ['clean-midlift', 'soft-plain'], b: ['clean-midlift', 'soft-plain'], oversampling: 16 },
  { a: ['clean-midlift', 'soft-plain'], b: ['soft-plain', 'clean-midlift'], oversampling: 8 },
  {
    a: ['soft-plain', 'clean-plain', 'soft-led'],
    b: ['soft-plain', 'clean-plain', 'soft-led'],
    oversampling: 8,
  },
  {
    a: ['soft-plain', 'clean-plain', 'soft-led'],
    b: ['clean-plain', 'soft-led', 'soft-plain'],
    oversampling: 8,
  },
].map((each) => ({ ...each, name: sidesOf(each) })) as ChainCase[];

function sidesOf({ a, b }: Pick<ChainCase, 'a' | 'b'>): string {
  return `${a.join(' > ')} and ${a.join() === b.join() ? 'the same' : b.join(' > ')}`;
}

/** @param inputV At the base rate. */
export function chainCosts(inputV: Float64Array): readonly ChainCost[] {
  return CHAIN_CASES.map(({ name, a, b, oversampling }) => {
    const now = () => performance.now();
    const timing = timeNetwork(networkOf(a, false), networkOf(b, true), oversampling, { inputV, now });
    const share = 2 / timing.timesRealTime;
    return {
      sides: name,
      oversampling,
      nsPerSample: (1e9 * share) / (SAMPLE_RATE_HZ * oversampling),
      share,
      shareInFade: share + 1 / timing.aloneTimesRealTime,
    };
  });
}

const networkOf = (names: Names, isTurned: boolean) =>
  networkOfChain(chainOf(names, isTurned), NOMINAL_TEMPERATURE_K);

/** @param isTurned With the knobs elsewhere. */
export function chainOf(names: Names, isTurned: boolean): Chain {
  return {
    pedals: names.map((name) => {
      const build = presetBuild(name);
      return { build: isTurned ? turnedBuild(build) : build, isOn: true, cableMetres: USUAL_PATCH_METRES };
    }),
  };
}
