import { logarithmicFrequencies } from '../../engine/analysis/frequency-response.ts';
import { VariantAnalysis } from '../../engine/analysis/variant-analysis.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import { presetBuild } from '../preset-build.ts';
import { median } from './solver-benchmark.ts';

/** The time for one variant of a build after its structure is known. */
export interface VariantCost {
  readonly preset: string;
  /** Operating point and the gain at 60 frequencies, processor time: median over many variants, ms. */
  readonly variantMs: number;
  /** Operating point alone, ms. */
  readonly restMs: number;
  /** Once for the structure, together with its first variant, ms. */
  readonly structureMs: number;
  /** Solutions that needed dense elimination because the planned order did not work. */
  readonly denseSolutions: number;
}

const HZ = logarithmicFrequencies(20, 20_000, 60);
const VARIANTS = 500;
/** Parts with tolerances: within 5 % up or down. */
const SPREAD = 0.05;

export function variantCost(preset: string): VariantCost {
  const network = networkOf(presetBuild(preset), NOMINAL_TEMPERATURE_K);
  const whole = new VariantAnalysis(network, { nets: [network.output], hz: HZ });
  const atRest = new VariantAnalysis(network, { nets: [], hz: [] });
  const variants = Array.from({ length: VARIANTS }, () =>
    whole.nominal.map((value) => value * (1 + SPREAD * (2 * Math.random() - 1))),
  );
  const timeOf = (analysis: VariantAnalysis) => {
    // These runs compile the code first.
    for (const variant of variants) solve(analysis, variant);
    return medianMs(variants.map((variant) => () => solve(analysis, variant)));
  };
  return {
    preset,
    variantMs: timeOf(whole),
    restMs: timeOf(atRest),
    structureMs: medianMs(
      Array.from({ length: 20 }, () => () => {
        new VariantAnalysis(network, { nets: [network.output], hz: HZ });
      }),
    ),
    denseSolutions: whole.denseSolutions,
  };
}

function solve(analysis: VariantAnalysis, variant: Float64Array): void {
  const status = analysis.solve(variant);
  if (status !== 'found') throw new Error(`a variant within 5 % is ${status}`);
}

function medianMs(runs: readonly (() => void)[]): number {
  const times = runs.map((run) => {
    const start = performance.now();
    run();
    return performance.now() - start;
  });
  return median(Float64Array.from(times));
}
