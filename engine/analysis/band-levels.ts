import { fourierTransform, powerOfTwoFrom } from '../audio/fourier.ts';

/** A band of constant relative width. */
export interface Band {
  /** Its nominal centre frequency, Hz. */
  readonly hz: number;
  readonly fromHz: number;
  readonly toHz: number;
}

/** Nominal centre frequencies of IEC 61260-1:2014; the exact ones are 1000·10^(3k/10) and 1000·10^(k/10) Hz. */
const OCTAVE_NAMES_HZ = [63, 125, 250, 500, 1000, 2000, 4000, 8000, 16_000];
const THIRD_NAMES_HZ = [
  50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500, 3150, 4000,
  5000, 6300, 8000, 10_000, 12_500, 16_000,
];
const OCTAVE_RATIO = 10 ** 0.3;
const THIRD_RATIO = 10 ** 0.1;

/** Octaves from 63 Hz to 16 kHz. */
export const OCTAVES: readonly Band[] = bandsAbout(OCTAVE_NAMES_HZ, OCTAVE_RATIO);
/** Thirds of an octave from 50 Hz to 16 kHz. */
export const THIRD_OCTAVES: readonly Band[] = bandsAbout(THIRD_NAMES_HZ, THIRD_RATIO);

/**
 * Level of a signal in each band, dB of 1 V RMS over its whole length: the power of its Fourier transform between
 * the band's edges. −Infinity for no power.
 */
export function bandLevels(
  signal: Float64Array,
  sampleRateHz: number,
  bands: readonly Band[],
): readonly number[] {
  const size = powerOfTwoFrom(signal.length);
  const re = new Float64Array(size);
  const im = new Float64Array(size);
  re.set(signal);
  fourierTransform(re, im);
  return bands.map(({ fromHz, toHz }) => {
    const first = Math.ceil((fromHz * size) / sampleRateHz);
    const end = Math.min(size / 2, Math.ceil((toHz * size) / sampleRateHz));
    let sum = 0;
    for (let bin = first; bin < end; bin++) sum += re[bin]! * re[bin]! + im[bin]! * im[bin]!;
    // Two-sided power over the length of the signal, not of the padded transform.
    return 10 * Math.log10((2 * sum) / size / signal.length);
  });
}

function bandsAbout(names: readonly number[], ratio: number): readonly Band[] {
  return names.map((hz) => {
    const exact = 1000 * ratio ** Math.round(Math.log(hz / 1000) / Math.log(ratio));
    return { hz, fromHz: exact / Math.sqrt(ratio), toHz: exact * Math.sqrt(ratio) };
  });
}
