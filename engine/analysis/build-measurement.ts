import { LoudnessMeter } from '../audio/loudness.ts';
import type { OversamplingOptions } from '../audio/oversampler.ts';
import { loudnessReadings } from '../audio/programme-loudness.ts';
import type { Build } from '../builds/build.ts';
import { drivenNetwork, networkWithin, type PlayedConditions } from '../builds/surroundings.ts';
import type { Network } from '../network/network.ts';
import { bandLevels, THIRD_OCTAVES } from './band-levels.ts';
import { type ClippingLevel, clippingLevelOf } from './clipping-level.ts';
import { FrequencyResponse, logarithmicFrequencies } from './frequency-response.ts';
import { type Harmonics, harmonicsOf } from './harmonics.ts';
import { accuracyWarning } from './offline-rate.ts';
import { renderOffline } from './offline-render.ts';
import { renderTrouble, saidOf, sineTrouble } from './render-trouble.ts';
import { accuracyExcerpts, solverAccuracy } from './solver-accuracy.ts';

/** Sines by which distortion is stated: the guitar's low A an octave up, soft, usual and hard picking. */
const HARMONICS_HZ = 220;
export const HARMONICS_PEAKS_V = [0.05, 0.2, 0.5] as const;

/** Ten frequencies a decade. */
export const RESPONSE_HZ: readonly number[] = logarithmicFrequencies(20, 20_000, 31);

/** A recording in volts, and how it is rendered. */
export interface MeasurementInput extends OversamplingOptions {
  readonly inputV: Float64Array;
}

/** Measurement of a recording played through a network. */
export interface SoundMeasurement {
  readonly outputV: Float64Array;
  /** Gated loudness of the whole, dB of 1 V; for a recording too short for gates, the plain K-weighted mean. */
  readonly loudnessDb: number;
  /** Levels of the thirds of an octave, dB of 1 V RMS. */
  readonly bandsDb: readonly number[];
  /** Small-signal gain at {@link RESPONSE_HZ}, dB. */
  readonly responseDb: readonly number[];
  /** Samples in which the solver did not converge, and in which a block was reset. */
  readonly failures: number;
  readonly resets: number;
}

/** The same, with measurements of sines. */
export interface BuildMeasurement extends SoundMeasurement {
  /** At {@link HARMONICS_PEAKS_V}. */
  readonly harmonics: readonly Harmonics[];
  readonly clipping: ClippingLevel;
  /** What of the solver should be known, in sentences. */
  readonly warnings: readonly string[];
}

/** @throws NetworkError, OperatingPointError. */
export function measureSound(network: Network, input: MeasurementInput): SoundMeasurement {
  const { outputV, failures, resets } = renderOffline(network, input.inputV, input);
  const response = new FrequencyResponse(network);
  return {
    outputV,
    loudnessDb: wholeLoudness(outputV, input.sampleRateHz),
    bandsDb: bandLevels(outputV, input.sampleRateHz, THIRD_OCTAVES),
    responseDb: RESPONSE_HZ.map((hz) => response.at(hz, network.output).decibels),
    failures,
    resets,
  };
}

function solverWarningOf(network: Network, { inputV, ...options }: MeasurementInput): string | undefined {
  const excerptsV = accuracyExcerpts([inputV], options.sampleRateHz);
  const accuracy = solverAccuracy(network, excerptsV, options);
  return accuracyWarning(network, accuracy, options.sampleRateHz);
}

/**
 * Sound and response as it is played; distortion from the first input of the chain; clipping level from the pedal's own input.
 *
 * @param isKnownGood Its error at this rate was estimated before, and need not be reported.
 * @throws NetworkError, OperatingPointError.
 */
export function measureBuild(
  build: Build,
  { temperatureK, around }: PlayedConditions,
  input: MeasurementInput,
  isKnownGood = false,
): BuildMeasurement {
  const played = networkWithin(build, temperatureK, around);
  const driven = drivenNetwork(build, temperatureK, around);
  const harmonics = HARMONICS_PEAKS_V.map((peakV) => harmonicsOf(driven, { hz: HARMONICS_HZ, peakV }));
  const sound = measureSound(played, input);
  const solverWarning = isKnownGood ? undefined : solverWarningOf(played, input);
  const warnings = saidOf('', [solverWarning, renderTrouble(sound), ...sineTrouble(harmonics)]);
  return { ...sound, harmonics, clipping: clippingLevelOf(build, temperatureK, around), warnings };
}

/**
 * Loudness for matching renders, dB of 1 V: integrated with gates; if they leave nothing (a recording under 0.4
 * s, or all below −70), the plain mean.
 */
export function wholeLoudness(signal: Float64Array, sampleRateHz: number): number {
  const { integratedLufs } = loudnessReadings([signal], sampleRateHz);
  if (Number.isFinite(integratedLufs)) return integratedLufs;
  const meter = new LoudnessMeter(sampleRateHz, Math.max(1, signal.length));
  meter.process(signal, signal.length);
  return meter.mean;
}
