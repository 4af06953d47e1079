import { type Chain, networkOfChain } from '../../engine/builds/chain.ts';
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

/** Sides in the same order are solved together; others each alone. */
const SIDES: readonly { readonly a: Names; readonly b: Names; readonly oversampling: 8 | 16 }[] = [
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
];

/** @param inputV At the base rate. */
export function chainCosts(inputV: Float64Array): readonly ChainCost[] {
  return SIDES.map(({ a, b, oversampling }) => {
    const now = () => performance.now();
    const timing = timeNetwork(networkOf(a, false), networkOf(b, true), oversampling, { inputV, now });
    const share = 2 / timing.timesRealTime;
    return {
      sides: `${a.join(' > ')} and ${a.join() === b.join() ? 'the same' : b.join(' > ')}`,
      oversampling,
      nsPerSample: (1e9 * share) / (SAMPLE_RATE_HZ * oversampling),
      share,
      shareInFade: share + 1 / timing.aloneTimesRealTime,
    };
  });
}

function networkOf(names: Names, isTurned: boolean) {
  const chain: Chain = {
    pedals: names.map((name) => {
      const build = presetBuild(name);
      return { build: isTurned ? turnedBuild(build) : build, isOn: true, cableMetres: 0.3 };
    }),
  };
  return networkOfChain(chain, NOMINAL_TEMPERATURE_K);
}
