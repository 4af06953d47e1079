import { logarithmicFrequencies } from '../../engine/analysis/frequency-response.ts';
import { fourierTransform } from '../../engine/audio/fourier.ts';
import { SCOPE_CHANNELS, SCOPE_FRAMES } from '../../worklets/scope-recorder.ts';
import { type Column, hertzText, type PlotView } from './plot-view.ts';

/** Bottom and top of the plot, dB of a sine of 1 V peak. */
const FLOOR_DB = -110;
const CEILING_DB = 20;
const TICKS_HZ = [20, 50, 100, 200, 500, 1000, 2000, 5000, 10_000, 20_000];
export const SPECTRUM_HZ: readonly number[] = logarithmicFrequencies(20, 20_000, 241);
/** Half the distance of two of them, as a ratio. */
const HALF_BAND = (SPECTRUM_HZ[1]! / SPECTRUM_HZ[0]!) ** 0.5;
/** Share of a new frame in the mean of the power, at thirty frames a second: two tenths of a second. */
const NEW_SHARE = 0.15;
/** The mean of a Hann window, by which it lowers a sine. */
const WINDOW_MEAN = 0.5;
const WINDOW = Float64Array.from(
  { length: SCOPE_FRAMES },
  (_, n) => 0.5 - 0.5 * Math.cos((2 * Math.PI * n) / SCOPE_FRAMES),
);
/**
 * The frame is followed by zeros up to this many times its length, so that bins lie closer together. A sine is at most
 * an eighth of the window's bin from the next one, where a Hann window reads 0.09 dB less: sinc(x)/(1 − x²) at x = 1/8.
 * @see F. J. Harris, On the use of windows for harmonic analysis with the discrete Fourier transform (1978).
 */
const PADDING = 4;
const LENGTH = PADDING * SCOPE_FRAMES;
/** Two sines of the same size have a dip between them from this distance, bins of the frame: half of a Hann window's main lobe. */
const APART_BINS = 2;

/** The spectrum of what plays, of A and B at the same time, since both always run on the same notes. */
export class LiveSpectrum {
  readonly #re = new Float64Array(LENGTH);
  readonly #im = new Float64Array(LENGTH);
  /** Mean square of the amplitude at each bin, V². */
  readonly #power = { a: new Float64Array(LENGTH / 2), b: new Float64Array(LENGTH / 2) };
  #isFirst = true;

  /** @param frame Input, A and B, one behind the other: see ScopeRecorder. */
  viewOf(frame: Float32Array, sampleRateHz: number, place: string): PlotView {
    this.#transform(frame);
    const columns = [this.#power.a, this.#power.b].map((power) => columnOf(power, sampleRateHz));
    return spectrumView(place, columns[0], columns[1], (APART_BINS * sampleRateHz) / SCOPE_FRAMES);
  }

  /** Both signals in one transform: A is its real part, B its imaginary one. */
  #transform(frame: Float32Array): void {
    const [re, im] = [this.#re, this.#im];
    const [a, b] = [SCOPE_CHANNELS.a * SCOPE_FRAMES, SCOPE_CHANNELS.b * SCOPE_FRAMES];
    const [meanA, meanB] = [mean(frame, a), mean(frame, b)];
    for (let n = 0; n < SCOPE_FRAMES; n++) {
      re[n] = WINDOW[n]! * (frame[a + n]! - meanA);
      im[n] = WINDOW[n]! * (frame[b + n]! - meanB);
    }
    re.fill(0, SCOPE_FRAMES);
    im.fill(0, SCOPE_FRAMES);
    fourierTransform(re, im);
    const scale = (2 / (SCOPE_FRAMES * WINDOW_MEAN)) ** 2 / 4;
    const share = this.#isFirst ? 1 : NEW_SHARE;
    this.#isFirst = false;
    for (let bin = 1; bin < LENGTH / 2; bin++) {
      const other = LENGTH - bin;
      const ofA = (re[bin]! + re[other]!) ** 2 + (im[bin]! - im[other]!) ** 2;
      const ofB = (im[bin]! + im[other]!) ** 2 + (re[other]! - re[bin]!) ** 2;
      this.#power.a[bin]! += share * (scale * ofA - this.#power.a[bin]!);
      this.#power.b[bin]! += share * (scale * ofB - this.#power.b[bin]!);
    }
  }
}

/**
 * Of two builds at a place; empty columns while nothing plays.
 *
 * @param apartHz Sines closer together than this are drawn as one.
 */
export function spectrumView(
  place: string,
  a: Column = EMPTY,
  b: Column = EMPTY,
  apartHz?: number,
): PlotView {
  const isEmpty = [...a, ...b].every((value) => value === null);
  return {
    shape: 'spectrum',
    title: 'Spectrum, live',
    summary: `Spectrum of what plays, at ${place}. A: ${spoken(a)}. B: ${spoken(b)}.`,
    hint: isEmpty
      ? 'Press Listen and play something.'
      : `At ${place}, before level match and speaker filter. 0 dB: a sine of 1 V peak.`,
    x: {
      label: `Frequency, Hz${apartHz === undefined ? '' : ` (${apartHz.toFixed(0)} Hz resolution)`}`,
      isLogarithmic: true,
      range: [20, 20_000],
      ticks: TICKS_HZ,
      tickText: (hz) => (hz >= 1000 ? `${hz / 1000}k` : `${hz}`),
    },
    y: { label: 'dB of 1 V peak', range: [FLOOR_DB, CEILING_DB] },
    series: [
      { name: 'A, dB of 1 V peak', ink: 'a', width: 1.5 },
      { name: 'B, dB of 1 V peak', ink: 'b', width: 1.5 },
    ],
    data: [SPECTRUM_HZ, a, b],
    rowHeading: 'Frequency, Hz',
    readout: (index) =>
      `${hertzText(SPECTRUM_HZ[index] ?? 0)}: A ${decibels(a[index])}, B ${decibels(b[index])}`,
  };
}

const EMPTY: Column = SPECTRUM_HZ.map(() => null);

/** The strongest bin near each frequency; between two bins, where they are farther apart, what lies between them. */
function columnOf(power: Float64Array, sampleRateHz: number): Column {
  const binHz = sampleRateHz / LENGTH;
  return SPECTRUM_HZ.map((hz) => {
    const first = Math.ceil(hz / HALF_BAND / binHz);
    const last = Math.min(Math.floor((hz * HALF_BAND) / binHz), power.length - 1);
    if (first >= power.length - 1) return null;
    let strongest = 0;
    if (last < first) {
      const bin = Math.floor(hz / binHz);
      const share = hz / binHz - bin;
      strongest = (1 - share) * (power[bin] ?? 0) + share * (power[bin + 1] ?? 0);
    }
    for (let bin = first; bin <= last; bin++) strongest = Math.max(strongest, power[bin]!);
    return Math.max(FLOOR_DB, 10 * Math.log10(strongest + 1e-20));
  });
}

function mean(frame: Float32Array, start: number): number {
  let sum = 0;
  for (let n = start; n < start + SCOPE_FRAMES; n++) sum += frame[n]!;
  return sum / SCOPE_FRAMES;
}

/** The strongest frequency. */
function spoken(column: Column): string {
  let best = 0;
  for (const [index, value] of column.entries())
    if ((value ?? FLOOR_DB) > (column[best] ?? FLOOR_DB)) best = index;
  return column[best] === null ? 'nothing yet' : `most at ${hertzText(SPECTRUM_HZ[best]!)}`;
}

function decibels(value: number | null | undefined): string {
  if (value === null || value === undefined) return 'unknown';
  return value <= FLOOR_DB ? 'nothing' : `${value.toFixed(0)} dB`;
}
