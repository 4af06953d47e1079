import { fourierTransform } from '../../engine/audio/fourier.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';

import { CircuitSimulator } from '../../engine/solver/circuit-simulator.ts';
import { compileCircuit } from '../../engine/solver/compile.ts';
import { presetBuild } from '../preset-build.ts';
import { sweepPlot } from './sweep-plot.ts';

/** The components that a steady sine produces besides its harmonics. */
export interface Aliasing {
  readonly preset: string;
  /** Frequency of the sine, Hz: the odd bin that is nearest to the wanted frequency. */
  readonly hz: number;
  /** Peak of the sine, V. */
  readonly volts: number;
  readonly oversampling: number;
  /** Strongest component below 20 kHz that is not a harmonic, relative to the fundamental, dB. */
  readonly worstInharmonicDb: number;
}

const SAMPLE_RATE_HZ = 48_000;
/** Samples at 48 kHz: bins of 2.93 Hz. */
const WINDOW_FRAMES = 2 ** 14;
/** Time for the bias to settle after the clipping changes it; the rest of the drift is in the lowest bins. */
const SETTLE_SECONDS = 0.4;
/** Kaiser's β: side lobes below −180 dB, half a main lobe 8.4 bins. */
const WINDOW_BETA = 26;
const LOBE_BINS = 9;
const HIGHEST_HZ = 20_000;

/** Frequencies at which aliasing must be low: the middle of the guitar's range and the top of its harmonics. */
const ALIASING_FREQUENCIES_HZ: readonly number[] = [1000, 5007];

/** Twelve frequencies from 500 Hz to 8 kHz, evenly in pitch. */
const SWEEP_HZ: readonly number[] = Array.from({ length: 12 }, (_, k) => 500 * 16 ** (k / 11));

/** Peak of the sine for the measurement of aliasing, V: the strongest that a guitar gives. */
const VOLTS = 1;
const SWEEP_FACTOR = 16;

/** Two frequencies at each factor, and on request the sweep at 16x. */
export function aliasingOf(
  presets: readonly string[],
  { factors, hasSweep }: { readonly factors: readonly number[]; readonly hasSweep: boolean },
): Aliasing[] {
  return presets.flatMap((name) => [
    ...factors.flatMap((factor) =>
      ALIASING_FREQUENCIES_HZ.map((hz) => measureAliasing(name, hz, VOLTS, factor)),
    ),
    ...(hasSweep ? SWEEP_HZ.map((hz) => measureAliasing(name, hz, VOLTS, SWEEP_FACTOR)) : []),
  ]);
}

/** The sweep as an SVG file, with one curve for each preset. */
export function aliasingPlot(aliasing: readonly Aliasing[]): string {
  const measured = aliasing.filter(({ oversampling }) => oversampling === SWEEP_FACTOR);
  const presets = [...new Set(measured.map(({ preset }) => preset))];
  const curves = presets.map((name) => ({
    name,
    points: measured
      .filter(({ preset }) => preset === name)
      .sort((a, b) => a.hz - b.hz)
      .map(({ hz, worstInharmonicDb }) => ({ hz, decibels: worstInharmonicDb })),
  }));
  return sweepPlot(
    `Strongest inharmonic component below 20 kHz, sine of ${VOLTS} V, ${SWEEP_FACTOR}x`,
    curves,
  );
}

/**
 * The whole circuit's response to a sine of `volts` peak, sampled exactly at 48 kHz·factor. It contains neither the
 * upsampling nor the downsampling filter, so what folds below 20 kHz was folded by the solver.
 */
function measureAliasing(preset: string, hz: number, volts: number, factor: number): Aliasing {
  const bin = oddBin(hz);
  const rateHz = SAMPLE_RATE_HZ * factor;
  const window = WINDOW_FRAMES * factor;
  const exactHz = (bin * SAMPLE_RATE_HZ) / WINDOW_FRAMES;
  const settle = Math.round(SETTLE_SECONDS * rateHz);
  const signal = Float64Array.from(
    { length: settle + window },
    (_, n) => volts * Math.sin((2 * Math.PI * exactHz * n) / rateHz),
  );
  const simulator = new CircuitSimulator(
    compileCircuit(networkOf(presetBuild(preset), NOMINAL_TEMPERATURE_K), { sampleRateHz: rateHz }),
  );
  simulator.process(signal, signal, signal.length);
  const worstInharmonicDb = inharmonicDb(signal.subarray(settle), bin, WINDOW_FRAMES);
  return { preset, hz: exactHz, volts, oversampling: factor, worstInharmonicDb };
}

/**
 * Strongest component below 20 kHz that is not at a multiple of the fundamental, relative to the fundamental, dB.
 *
 * @param signal Whole periods; its length is a power of two. @param bin Number of the fundamental's periods in it, odd,
 * so that no harmonic that folds at half the sample rate can land on another.
 * @param framesAt48k Length of the signal at 48 kHz, which gives the bin of 20 kHz.
 */
export function inharmonicDb(signal: Float64Array, bin: number, framesAt48k: number): number {
  const re = windowed(signal);
  const im = new Float64Array(re.length);
  fourierTransform(re, im);
  const amplitude = (k: number) => Math.hypot(re[k]!, im[k]!);
  const highest = Math.floor((HIGHEST_HZ / SAMPLE_RATE_HZ) * framesAt48k);
  let worst = 0;
  for (let k = LOBE_BINS; k <= highest; k++) {
    const offHarmonic = Math.abs(k - bin * Math.round(k / bin));
    if (offHarmonic > LOBE_BINS) worst = Math.max(worst, amplitude(k));
  }
  return 20 * Math.log10(worst / amplitude(bin));
}

/** Odd bin nearest to a frequency. */
function oddBin(hz: number): number {
  return 2 * Math.round((hz * WINDOW_FRAMES) / SAMPLE_RATE_HZ / 2 - 0.5) + 1;
}

/** Kaiser's window, I0(β·√(1 − x²)) without its constant factor, over the signal. */
function windowed(signal: Float64Array): Float64Array {
  const middle = signal.length / 2;
  return signal.map((value, n) => {
    const x = (n - middle) / middle;
    return value * besselI0(WINDOW_BETA * Math.sqrt(1 - x * x));
  });
}

/** Modified Bessel function of order 0, Σ ((x/2)^k/k!)², until a term is too small to matter. */
function besselI0(x: number): number {
  const quarter = (x * x) / 4;
  let term = 1;
  let sum = 1;
  for (let k = 1; term > 1e-17 * sum; k++) {
    term *= quarter / (k * k);
    sum += term;
  }
  return sum;
}
