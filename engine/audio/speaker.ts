import { Refusal } from '../input/refusal.ts';
import { Convolver } from './convolver.ts';
import { FilterFade, NO_FILTER } from './filter-fade.ts';
import { fourierTransform, powerOfTwoFrom } from './fourier.ts';
import { resample } from './resample.ts';
import { SpeakerStandIn, standInResponseDb } from './speaker-stand-in.ts';

/** Longest response that is used, seconds, and how its end is faded. */
const LONGEST_SECONDS = 8192 / 48_000;
const FADE_SECONDS = 0.005;
/** Longer than any filter for another rate, from 8 kHz up. */
const FILTER_SECONDS = 0.1;
/** Range over which responses are made equally loud: a guitar's own range. */
const MATCHED_HZ = [100, 5000] as const;
const POINTS_PER_DECADE = 20;

/**
 * The filter for amplifier and speaker: none, the built-in one, or an impulse response. One channel.
 * Every change is a fade.
 */
export class Speaker {
  readonly #standIn: SpeakerStandIn;
  readonly #fade: FilterFade;
  #own: Convolver | undefined;
  #isOn = true;

  /** @param maxFrames Longest block. Throws RangeError for a rate that cannot hold the built-in filter. */
  constructor(sampleRateHz: number, maxFrames: number) {
    this.#standIn = new SpeakerStandIn(sampleRateHz);
    this.#fade = new FilterFade(this.#standIn, sampleRateHz, maxFrames);
  }

  /** @param response At the rate of the signal ({@link speakerResponse}); empty for the built-in one. Allocates. */
  setResponse(response: Float64Array): void {
    this.#own = response.length > 0 ? new Convolver(response) : undefined;
    this.#follow();
  }

  /** Whether the signal goes through the speaker at all. Allocates. */
  setOn(isOn: boolean): void {
    this.#isOn = isOn;
    this.#follow();
  }

  #follow(): void {
    this.#fade.fadeTo(this.#isOn ? (this.#own ?? this.#standIn) : NO_FILTER);
  }

  /** @param output Length ≥ frames; may be the input. Input must be finite. Real-time safe. */
  process(input: Float64Array, frames: number, output: Float64Array): void {
    this.#fade.process(input, frames, output);
  }

  /** Empties it, and ends a fade. */
  reset(): void {
    this.#fade.reset();
  }
}

/**
 * An impulse response made ready: at the signal's rate, no longer than 8192 samples at 48 kHz, and as loud as
 * the built-in filter, by the mean power from 100 Hz to 5 kHz at equal ratios.
 *
 * @throws RangeError for a response that is empty or silent in that range.
 */
export function speakerResponse(recorded: Float64Array, fromHz: number, toHz: number): Float64Array {
  // Only the used part is converted, with the reach of the filter.
  const needed = recorded.subarray(0, Math.ceil((LONGEST_SECONDS + FILTER_SECONDS) * fromHz));
  const resampled = resample(needed, fromHz, toHz);
  const length = Math.min(resampled.length, Math.round(LONGEST_SECONDS * toHz));
  const response = resampled.slice(0, length);
  if (length < resampled.length) fadeEnd(response, Math.round(FADE_SECONDS * toHz));
  const own = meanPower(response, toHz);
  if (!(own > 0)) throw new Refusal('silence', 'the impulse response is silent between 100 Hz and 5 kHz');
  const gain = Math.sqrt(standInPower(toHz) / own);
  return response.map((sample) => gain * sample);
}

function fadeEnd(response: Float64Array, frames: number): void {
  for (let n = 0; n < frames; n++) {
    const at = response.length - 1 - n;
    if (at >= 0) response[at]! *= n / frames;
  }
}

function matchedFrequencies(): readonly number[] {
  const [from, to] = MATCHED_HZ;
  const count = Math.round(POINTS_PER_DECADE * Math.log10(to / from));
  return Array.from({ length: count + 1 }, (_, index) => from * (to / from) ** (index / count));
}

function standInPower(sampleRateHz: number): number {
  const powers = matchedFrequencies().map((hz) => 10 ** (standInResponseDb(hz, sampleRateHz) / 10));
  return powers.reduce((sum, power) => sum + power, 0) / powers.length;
}

function meanPower(response: Float64Array, sampleRateHz: number): number {
  // So long that its frequency bins are denser than the points
  const size = powerOfTwoFrom(Math.max(response.length, sampleRateHz / 5));
  const re = new Float64Array(size);
  const im = new Float64Array(size);
  re.set(response);
  fourierTransform(re, im);
  const powers = matchedFrequencies().map((hz) => {
    const bin = Math.round((hz * size) / sampleRateHz);
    return re[bin]! ** 2 + im[bin]! ** 2;
  });
  return powers.reduce((sum, power) => sum + power, 0) / powers.length;
}
