import { CLIPPING_TEST_HZ } from '../../engine/analysis/clipping-level.ts';
import type { SineAnalysis } from '../../engine/analysis/sine-analysis.ts';
import { lastRise } from '../../engine/analysis/trigger.ts';
import { SCOPE_CHANNELS, SCOPE_FRAMES } from '../../worklets/scope-recorder.ts';
import type { Known } from './known.ts';
import type { PlottedSine } from './plot-analysis.ts';
import { type Column, hertzText, type PlotView, roundPeak, voltsText } from './plot-view.ts';
import { clippingBandText, clippingSpans } from './spread-bands.ts';

/** Points drawn of a period, at most. */
const MOST_POINTS = 400;
/** Shown time of the live signal before and after the trigger. */
const BEFORE_SECONDS = 0.002;
const AFTER_SECONDS = 0.024;
/** One in this many samples of the live signal is drawn, at 48 kHz. */
const LIVE_POINTS = 480;
/** Frames after which a scale shrinks that has been larger than needed: two seconds. */
const FRAMES_BELOW = 60;
/** Where the live signal is taken: volume and speaker would hide what the builds do. */
const NOT_YET = 'without DC, before level match and speaker filter';
const BIASED = ['a', 'b', 'clippedA', 'clippedB'] as const;
type Biased = (typeof BIASED)[number];
/** Smoothing of the bias from frame to frame, about thirty a second. */
const BIAS_SHARE = 0.1;

/**
 * What clips, over the input of a steady sine: thick for a rising input, thin for a falling one. At the net where the circuit
 * clips, without the phase and the losses of what follows; a net under the probe goes before it.
 */
export function clippingView({ sine, clips, place: probed, hz, peakV }: Known): PlotView {
  const place = clippingPlace(sine, probed);
  const step = thinning((sine.a ?? sine.b)?.netV.length ?? 0);
  const of = (analysis: SineAnalysis | undefined, half: 'risingV' | 'fallingV') =>
    thin(analysis?.clipping[half], step);
  const inputV = thin((sine.a ?? sine.b)?.clipping.inputV, step);
  const columns = [
    of(sine.a, 'risingV'),
    of(sine.b, 'risingV'),
    of(sine.a, 'fallingV'),
    of(sine.b, 'fallingV'),
  ].map((column) => filled(column, inputV.length));
  const [aUp = [], bUp = [], aDown = [], bDown = []] = columns;
  const peak = roundPeak(peakOf(columns));
  // Where builds clip from is known for one frequency.
  const shown = hz === CLIPPING_TEST_HZ ? clips : { a: undefined, b: undefined };
  return {
    shape: 'clipping',
    title: `Clipping curve at ${place}`,
    summary: `Clipping curve at ${place}, ${sineText(hz, peakV)}. ${extremes('A', [aUp, aDown])} ${extremes('B', [bUp, bDown])}`,
    hint: `Output over input, without DC. Thick: input rising; thin: falling. ${extremes('A', [aUp, aDown])} ${extremes('B', [bUp, bDown])}${clippingBandText(shown, peakV)}`,
    spans: clippingSpans(shown),
    x: { label: 'Input, V', range: [-peakV, peakV] },
    y: { label: 'Volts, without DC', range: [-peak, peak] },
    series: [
      { name: 'A rising, V', ink: 'a' },
      { name: 'B rising, V', ink: 'b' },
      { name: 'A falling, V', ink: 'a', width: 1 },
      { name: 'B falling, V', ink: 'b', width: 1 },
    ],
    data: [inputV, ...columns],
    rowHeading: 'Input, V',
    readout: (index) =>
      `${volts(inputV[index])} in: A ${volts(aUp[index])} rising, ${volts(aDown[index])} falling; B ${volts(bUp[index])} rising, ${volts(bDown[index])} falling`,
  };
}

/** Builds of two circuits may clip at nets of different names. */
function clippingPlace({ a, b }: Known['sine'], probed: string): string {
  const of = (analysis: PlottedSine | undefined) =>
    analysis?.clippingNet === undefined ? probed : `net ${analysis.clippingNet}`;
  if (!a || !b || of(a) === of(b)) return of(a ?? b);
  return `${of(a)} (A), ${of(b)} (B)`;
}

/** Two periods of a steady sine, at the input and at the probe. */
export function testWaveformView({ sine, place, hz, peakV }: Known): PlotView {
  const either = sine.a ?? sine.b;
  const length = either?.netV.length ?? 0;
  const step = thinning(length);
  const twice = (signal: Float64Array | undefined) => {
    const once = thin(signal, step);
    return [...once, ...once];
  };
  const milliseconds = Array.from(
    { length: length > 0 ? 2 * Math.ceil(length / step) : 0 },
    (_, n) => (1000 * n * step) / (hz * length),
  );
  const columns = [twice(either?.inputV), twice(sine.a?.netV), twice(sine.b?.netV)];
  return waveform({
    title: `Waveform, ${sineText(hz, peakV)}`,
    hint: `At ${place}, without DC.`,
    place,
    milliseconds,
    columns,
    range: [0, 2000 / hz],
    peak: roundPeak(peakOf(columns)),
  });
}

/** The live signal on the scope, without bias, triggered where the input rises through zero. */
export class LiveWaveform {
  #peak = 0;
  /** Frames in which a smaller scale was enough, and the largest that they needed. */
  #framesBelow = 0;
  #largest = 0;
  /** Bias of A and B, and of the nets where they clip, V; none before the first frame. */
  readonly #bias = { a: Number.NaN, b: Number.NaN, clippedA: Number.NaN, clippedB: Number.NaN };

  /** @param frame Channels one behind the other: see ScopeRecorder. */
  viewOf(frame: Float32Array, sampleRateHz: number, { place, heard, sine }: Known): PlotView {
    const before = Math.round(BEFORE_SECONDS * sampleRateHz);
    const after = Math.min(Math.round(AFTER_SECONDS * sampleRateHz), SCOPE_FRAMES - before - 1);
    const input = channel(frame, SCOPE_CHANNELS.input);
    const rise = lastRise(input, before, SCOPE_FRAMES - after);
    const trigger = rise < 0 ? SCOPE_FRAMES - after : rise;
    const step = Math.max(1, Math.floor((before + after) / LIVE_POINTS));
    const places = Array.from(
      { length: Math.floor((before + after) / step) },
      (_, index) => trigger - before + index * step,
    );
    for (const name of BIASED) this.#followBias(name, channel(frame, SCOPE_CHANNELS[name]));
    const column = (name: Biased) => {
      const signal = channel(frame, SCOPE_CHANNELS[name]);
      return places.map((n) => numberOrNone(signal[n]! - this.#bias[name]));
    };
    const clipped = column(heard === 'a' ? 'clippedA' : 'clippedB');
    const clippedNet = clipped.some((value) => value !== null) ? sine[heard]?.clippingNet : undefined;
    const columns = [
      places.map((n) => input[n]!),
      column('a'),
      column('b'),
      clippedNet === undefined ? clipped.map(() => null) : clipped,
    ];
    return waveform({
      title: 'Waveform, live',
      hint: `At ${place}, ${NOT_YET}.${rise < 0 ? ' Nothing to trigger on: play something.' : ''}`,
      place,
      clipping: `${heard === 'a' ? 'A' : 'B'} at ${clippedNet}`,
      isClippingAbsent: clippedNet === undefined,
      milliseconds: places.map((n) => (1000 * (n - trigger)) / sampleRateHz),
      columns,
      range: [-1000 * BEFORE_SECONDS, (1000 * after) / sampleRateHz],
      peak: this.#steadyPeak(peakOf(columns)),
    });
  }

  /** Slowly, since a frame's mean depends on its phase, and the picture would move with it. */
  #followBias(name: Biased, signal: Float32Array): void {
    const mean = signal.reduce((sum, value) => sum + value, 0) / signal.length;
    const before = this.#bias[name];
    if (Number.isNaN(before) || signal.every(Number.isNaN)) this.#bias[name] = mean;
    // Not from a frame with a gap: its mean would be one of a part of it.
    else if (!Number.isNaN(mean)) this.#bias[name] = before + BIAS_SHARE * (mean - before);
  }

  /** Grows at once, and shrinks where a far smaller scale is enough, or a smaller one has been for a while. */
  #steadyPeak(peak: number): number {
    const wanted = roundPeak(Math.max(peak, 0.01));
    this.#largest = Math.max(this.#largest, wanted);
    this.#framesBelow = wanted < this.#peak ? this.#framesBelow + 1 : 0;
    const hasWaited = this.#framesBelow >= FRAMES_BELOW;
    if (wanted >= this.#peak || peak < this.#peak / 8) this.#peak = wanted;
    else if (hasWaited) this.#peak = this.#largest;
    if (hasWaited || this.#framesBelow === 0) {
      this.#framesBelow = 0;
      this.#largest = 0;
    }
    return this.#peak;
  }
}

interface Waveform {
  readonly title: string;
  readonly hint: string;
  readonly place: string;
  /** Build and net of a fourth column, such as "A at clipped"; the plot keeps its shape while that is absent. */
  readonly clipping?: string;
  readonly isClippingAbsent?: boolean;
  readonly milliseconds: Column;
  /** Input, A, B, and where the heard one clips. */
  readonly columns: readonly Column[];
  readonly range: readonly [number, number];
  readonly peak: number;
}

function waveform(of: Waveform): PlotView {
  const { title, hint, place, clipping, isClippingAbsent = false, milliseconds, columns, range, peak } = of;
  const [input = [], a = [], b = [], clipped = []] = columns.map((column) =>
    filled(column, milliseconds.length),
  );
  return {
    shape: clipping === undefined ? 'waveform' : 'waveform with clipping net',
    title,
    summary: `${title}, at ${place}. ${extremes('A', [a])} ${extremes('B', [b])}`,
    hint: `${hint} ${extremes('A', [a])} ${extremes('B', [b])}`,
    x: { label: 'Time, ms', range },
    y: { label: 'Volts, without DC', range: [-peak, peak] },
    series: [
      { name: 'Input, V', ink: 'soft', width: 1 },
      { name: 'A, V', ink: 'a' },
      { name: 'B, V', ink: 'b' },
      ...(clipping === undefined
        ? []
        : [
            {
              name: `${clipping}, V`,
              ink: 'plain' as const,
              width: 2,
              isDotted: true,
              isAbsent: isClippingAbsent,
            },
          ]),
    ],
    data: [milliseconds, input, a, b, ...(clipping === undefined ? [] : [clipped])],
    rowHeading: 'Time, ms',
    readout: (index) =>
      `${(milliseconds[index] ?? 0).toFixed(2)} ms: input ${volts(input[index])}, A ${volts(a[index])}, B ${volts(b[index])}${clipping === undefined || isClippingAbsent ? '' : `, ${clipping} ${volts(clipped[index])}`}`,
  };
}

function channel(frame: Float32Array, index: number): Float32Array {
  return frame.subarray(index * SCOPE_FRAMES, (index + 1) * SCOPE_FRAMES);
}

/** Every how many samples of a period are drawn. */
function thinning(length: number): number {
  return Math.max(1, Math.ceil(length / MOST_POINTS));
}

function thin(signal: Float64Array | undefined, step: number): number[] {
  return signal ? Array.from({ length: Math.ceil(signal.length / step) }, (_, n) => signal[n * step]!) : [];
}

function numberOrNone(value: number): number | null {
  return Number.isNaN(value) ? null : value;
}

function filled(column: Column, length: number): Column {
  return column.length === length ? column : Array.from({ length }, () => null);
}

function peakOf(columns: readonly Column[]): number {
  let peak = 0;
  for (const column of columns) for (const value of column) peak = Math.max(peak, Math.abs(value ?? 0));
  return peak;
}

function extremes(letter: string, columns: readonly Column[]): string {
  const values = columns.flatMap((column) => column.flatMap((value) => value ?? []));
  if (values.length === 0) return '';
  return `${letter} ${voltsText(Math.max(...values))} to ${voltsText(Math.min(...values))}.`;
}

function sineText(hz: number, peakV: number): string {
  return `${voltsText(peakV)} peak at ${hertzText(hz)}`;
}

function volts(value: number | null | undefined): string {
  return value === null || value === undefined ? 'unknown' : voltsText(value);
}
