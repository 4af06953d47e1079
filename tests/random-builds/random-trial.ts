import { offlineRate, RENDER_AIM_DB } from '../../engine/analysis/offline-rate.ts';
import { accuracyExcerpts, solverAccuracy } from '../../engine/analysis/solver-accuracy.ts';
import type { Build } from '../../engine/builds/build.ts';
import { BuildError } from '../../engine/builds/build-error.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import type { Network } from '../../engine/network/network.ts';
import { kelvinOf, TEMPERATURE_RANGE_C } from '../../engine/network/temperature.ts';
import { CircuitSimulator } from '../../engine/solver/circuit-simulator.ts';
import { compileCircuit } from '../../engine/solver/compile.ts';
import { NetworkError } from '../../engine/solver/network-error.ts';
import { OperatingPointError } from '../../engine/solver/operating-point.ts';
import { OUTPUT_RATE_HZ } from '../reference/band-limit.ts';
import { ReferenceFailure } from '../reference/netlist-solver.ts';
import { type ReferenceAnswer, referenceAnswer, solverErrorDb } from '../reference/solver-trial.ts';
import { DENSE_FACTOR, denseInput, type TrialInput } from '../reference/trial-input.ts';
import { uniform } from '../unit/small-networks.ts';
import type { KeptAnswers } from './kept-answers.ts';
import { randomBuild } from './random-build.ts';

export const TRIAL_FACTORS = [8, 16, DENSE_FACTOR] as const;

/** A random build and its input, from a seed. */
export interface RandomTrial {
  readonly seed: number;
  readonly build: Build;
  readonly temperatureC: number;
  readonly input: TrialInput;
}

/** Errors in dB at TRIAL_FACTORS, or the reason for which there are none. */
export type TrialOutcome =
  | {
      readonly kind: 'measured' | 'unstable';
      readonly seed: number;
      readonly errorsDb: readonly number[];
      /** As `render` does, which raises the rate where the engine's own estimate asks for it: the error and the factor. */
      readonly offlineDb: number;
      readonly offlineFactor: number;
      /** The engine's own estimates of these errors where they matter, see {@link isEstimated}; otherwise null. */
      readonly estimatesDb: readonly (number | null)[];
      readonly ownErrorDb: number;
      readonly failures: number;
      readonly restV: number;
      readonly traits: readonly string[];
    }
  | { readonly kind: 'refused' | 'no reference'; readonly seed: number; readonly why: string };

/** Seed offset for the input, so that it differs from that of the build. */
const INPUT_SEED = 7_654_321;
export const SECONDS = 0.05;
const LOUDEST_V = 2;
const SOFTEST_V = 0.01;
const [LOWEST_HZ, HIGHEST_HZ] = [82, 5000];
/** A reference with an own error above this is none. */
const COMPARED_DB = -60;
/** Errors above this are estimated, and those of every so many builds. */
const [ESTIMATED_DB, ESTIMATED_EVERY] = [-75, 10];
const NO_ERROR_DB = -400;
/** Below what `render` wants by this, dB, the estimate would not ask for more, and is not made. */
const OFFLINE_SURE_DB = 10;
/** Above this error it is checked whether a build oscillates; an output without input that reaches this does, V. */
const [SUSPECT_DB, OSCILLATING_V] = [-60, 1e-6];
/** Where the recording is loud, s. */
const RECORDING_S = 6;

/** What is drawn beside a build. */
export function trialDraws(seed: number): { readonly draw: () => number; readonly temperatureC: number } {
  const draw = uniform(INPUT_SEED + seed);
  draw();
  const { lowest, highest } = TEMPERATURE_RANGE_C;
  return { draw, temperatureC: Math.round(lowest + (highest - lowest) * draw()) };
}

export function randomTrial(seed: number): RandomTrial {
  const { draw, temperatureC } = trialDraws(seed);
  const kind = (['sine', 'sine', 'sine', 'plucked', 'burst', 'recording'] as const)[Math.floor(6 * draw())]!;
  const between = (least: number, most: number) => Number((least * (most / least) ** draw()).toPrecision(3));
  const place =
    kind === 'recording' ? Math.round(10 * RECORDING_S * draw()) / 10 : between(LOWEST_HZ, HIGHEST_HZ);
  const peakV = between(SOFTEST_V, LOUDEST_V);
  return { seed, build: randomBuild(seed), temperatureC, input: { kind, place, peakV, seconds: SECONDS } };
}

/** @param answers Reference results of earlier runs; new ones are added. */
export function measureTrial(
  { seed, build, temperatureC, input }: RandomTrial,
  answers?: KeptAnswers,
): TrialOutcome {
  try {
    const network = networkOf(build, kelvinOf(temperatureC));
    const answer = answers ? answers.of(network, input) : referenceAnswer(network, input);
    if (!answer.isUnstable && answer.ownErrorDb > COMPARED_DB) {
      const why = `the reference's own error is ${answer.ownErrorDb.toFixed(1)} dB`;
      return { kind: 'no reference', seed, why };
    }
    const own = TRIAL_FACTORS.map((factor) => solverErrorDb(network, input, factor, answer));
    const inputV = denseInput(input).filter((_, n) => n % DENSE_FACTOR === 0);
    const excerptsV = accuracyExcerpts([inputV], OUTPUT_RATE_HZ);
    const estimates = TRIAL_FACTORS.map((factor, at) => {
      if (!isEstimated(own[at]!.errorDb, seed)) return null;
      const { errorDb } = solverAccuracy(network, excerptsV, { factor, sampleRateHz: OUTPUT_RATE_HZ });
      return rounded(errorDb ?? Number.NaN);
    });
    const offline = offlineError(network, { input, excerptsV, answer, ownDb: own[2]!.errorDb });
    const isFar = own.some(({ errorDb }) => errorDb > SUSPECT_DB);
    return {
      kind: answer.isUnstable || (isFar && oscillates(network, input.seconds)) ? 'unstable' : 'measured',
      seed,
      errorsDb: own.map(({ errorDb }) => rounded(errorDb)),
      estimatesDb: estimates,
      offlineDb: rounded(offline.errorDb),
      offlineFactor: offline.factor,
      ownErrorDb: rounded(answer.ownErrorDb),
      failures: own.reduce((sum, { failures }) => sum + failures, 0),
      restV: answer.restV,
      traits: traitsOf(network),
    };
  } catch (error) {
    if (error instanceof ReferenceFailure) return { kind: 'no reference', seed, why: error.message };
    if (error instanceof BuildError || error instanceof NetworkError || error instanceof OperatingPointError)
      return { kind: 'refused', seed, why: error.message };
    throw error;
  }
}

/** The error at the rate that `render` chooses. @param ownDb That at DENSE_FACTOR, where it begins. */
function offlineError(
  network: Network,
  trial: {
    readonly input: TrialInput;
    readonly excerptsV: readonly Float64Array[];
    readonly answer: ReferenceAnswer;
    readonly ownDb: number;
  },
): { readonly errorDb: number; readonly factor: number } {
  const { input, excerptsV, answer, ownDb } = trial;
  if (ownDb < RENDER_AIM_DB - OFFLINE_SURE_DB) return { errorDb: ownDb, factor: DENSE_FACTOR };
  const aim = { from: DENSE_FACTOR, aimDb: RENDER_AIM_DB, sampleRateHz: OUTPUT_RATE_HZ } as const;
  const { factor } = offlineRate([network], excerptsV, aim)[0]!;
  return factor === DENSE_FACTOR
    ? { errorDb: ownDb, factor }
    : { errorDb: solverErrorDb(network, input, factor, answer).errorDb, factor };
}

/**
 * Whether a build plays by itself: without input, rounding alone is some 1e-15 V, and only an unstable circuit lets it grow. The
 * reference stays at rest there for ever, since nothing disturbs it.
 */
function oscillates(network: Network, seconds: number): boolean {
  return TRIAL_FACTORS.slice(1).every((factor) => {
    const sampleRateHz = OUTPUT_RATE_HZ * factor;
    const simulator = new CircuitSimulator(compileCircuit(network, { sampleRateHz }));
    const volts = new Float64Array(Math.round(seconds * sampleRateHz));
    simulator.process(volts, volts, volts.length);
    return volts.some((each) => Math.abs(each) > OSCILLATING_V);
  });
}

/**
 * An estimate takes several times as long as the error itself: it is made where the error may be said, and for some of
 * the others, which tell how often it is said without need.
 */
function isEstimated(errorDb: number, seed: number): boolean {
  return !(errorDb <= ESTIMATED_DB) || seed % ESTIMATED_EVERY === 0;
}

/** A silent output has no error at all, and JSON has no infinity. */
const rounded = (decibels: number) => Math.round(10 * Math.max(decibels, NO_ERROR_DB)) / 10;

/** The kinds of parts in a network that are difficult for a solver. */
function traitsOf({ primitives }: Network): string[] {
  const opamps = primitives.filter((primitive) => primitive.kind === 'opamp');
  const traits = {
    'phase reversal': opamps.some(({ data }) => data.commonMode?.reverses),
    'input range': opamps.some(({ data }) => data.commonMode && !data.commonMode.reverses),
    'class-B output': opamps.some(({ drives }) => drives),
    'field-effect': primitives.some(({ kind }) => /Jfet|Mosfet/.test(kind)),
  };
  return Object.entries(traits).flatMap(([trait, has]) => (has ? [trait] : []));
}
