/**
 * A plucked string and a short phrase played on it: a repeatable input for circuits where no recording or
 * player is at hand.
 *
 * @see K. Karplus and A. Strong, "Digital synthesis of plucked-string and drum timbres", Computer Music
 *   Journal 7(2), 1983; D. A. Jaffe and J. O. Smith, "Extensions of the Karplus-Strong plucked-string
 *   algorithm", same issue (tuning allpass, decay, pick position)
 */

export interface Pluck {
  readonly frequencyHz: number;
  readonly seconds: number;
  readonly sampleRateHz: number;
  /** Time in which the fundamental falls by 60 dB. */
  readonly decaySeconds: number;
  /** Where the string is plucked, as a part of its length from the bridge, 0 to 1. */
  readonly pickPosition: number;
  /** Picks the noise that sets the string off; the same seed gives the same sound. */
  readonly seed: number;
}

/** Average brightness of the loop: the weight of the older of the two samples that are averaged. */
const DAMPING = 0.3;

/**
 * One plucked note, with the peak at 1.
 *
 * A noise burst of one period, comb-filtered by the pick position, runs round a loop of a delay of N
 * samples, the average ρ((1 − S) + S z⁻¹) and an allpass (C + z⁻¹) / (1 + C z⁻¹). The loop's phase delay is
 * exactly one period at the fundamental.
 * Throws RangeError if the fundamental is not between 20 Hz and a quarter of the sample rate, or a time is
 * not positive. Allocates; not for the audio thread.
 */
export function pluckedString(pluck: Pluck): Float64Array {
  const { frequencyHz, seconds, sampleRateHz, decaySeconds } = pluck;
  if (!(frequencyHz >= 20 && frequencyHz <= sampleRateHz / 4)) {
    throw new RangeError(`a string of ${frequencyHz} Hz does not fit a rate of ${sampleRateHz} Hz`);
  }
  if (!(seconds > 0 && decaySeconds > 0)) throw new RangeError('a plucked string needs positive times');
  const output = new Float64Array(Math.ceil(seconds * sampleRateHz));
  const loop = tuneLoop(pluck);
  const line = excitation(pluck, loop.delay);
  runLoop(line, loop, output);
  return scaleToPeak(output, 1);
}

export interface PhraseOptions {
  readonly sampleRateHz: number;
  /** Largest sample, V; about 0.3 V suits a single-coil pickup. */
  readonly peakVolts: number;
  readonly seed: number;
}

/**
 * A phrase of six notes and a chord, in volts, to be played round and round: what still rings at the end
 * is laid over the beginning. Allocates; not for the audio thread.
 */
export function pluckedPhrase(options: PhraseOptions): Float64Array {
  const { sampleRateHz, seed } = options;
  const output = new Float64Array(Math.round(PHRASE_BEATS * BEAT_SECONDS * sampleRateHz));
  PHRASE.forEach((note, index) => {
    const tone = pluckedString({
      frequencyHz: 440 * 2 ** ((note.midi - 69) / 12),
      seconds: note.beats * BEAT_SECONDS + FADE_SECONDS,
      sampleRateHz,
      decaySeconds: 5,
      pickPosition: 0.17,
      seed: seed + index,
    });
    const start = Math.round(note.beat * BEAT_SECONDS * sampleRateHz);
    const fade = Math.round(FADE_SECONDS * sampleRateHz);
    for (let n = 0; n < tone.length; n++) {
      const at = (start + n) % output.length;
      // the finger comes down on the string at the end of the note
      const gain = Math.min(1, (tone.length - n) / fade);
      output[at] = output[at]! + note.level * gain * tone[n]!;
    }
  });
  return scaleToPeak(output, options.peakVolts);
}

interface Note {
  readonly beat: number;
  readonly beats: number;
  /** Note number: 69 is A at 440 Hz, a semitone each. */
  readonly midi: number;
  readonly level: number;
}

const BEAT_SECONDS = 0.6;
const PHRASE_BEATS = 8;
const FADE_SECONDS = 0.03;

/** Soft and loud single notes low and high, then an E minor chord strummed and left to ring. */
const PHRASE: readonly Note[] = [
  { beat: 0, beats: 1, midi: 40, level: 0.9 },
  { beat: 1, beats: 0.5, midi: 52, level: 0.4 },
  { beat: 1.5, beats: 0.5, midi: 55, level: 0.6 },
  { beat: 2, beats: 1, midi: 57, level: 1 },
  { beat: 3, beats: 0.5, midi: 59, level: 0.5 },
  { beat: 3.5, beats: 0.5, midi: 64, level: 0.8 },
  ...[40, 47, 52, 55, 59, 64].map((midi, string) => ({
    beat: 4 + string * 0.04,
    beats: 4 - string * 0.04,
    midi,
    level: 0.45,
  })),
];

interface Loop {
  /** Whole samples of the delay line. */
  readonly delay: number;
  readonly loss: number;
  readonly damping: number;
  readonly allpass: number;
}

function tuneLoop({ frequencyHz, sampleRateHz, decaySeconds }: Pluck): Loop {
  const w = (2 * Math.PI * frequencyHz) / sampleRateHz;
  // −60 dB after decaySeconds, one pass each period
  const wanted = 10 ** (-3 / (frequencyHz * decaySeconds));
  // |average|² = 1 − 2 S (1 − S)(1 − cos ω) may not take away more than that
  const most = Math.min(DAMPING * (1 - DAMPING), (1 - wanted ** 2) / (2 * (1 - Math.cos(w))));
  const damping = 0.5 - Math.sqrt(0.25 - most);
  const re = 1 - damping + damping * Math.cos(w);
  const im = damping * Math.sin(w);
  const rest = sampleRateHz / frequencyHz - Math.atan2(im, re) / w;
  // the allpass is flattest for a delay of about half a sample to one and a half
  const delay = Math.floor(rest - 0.5);
  const fraction = rest - delay;
  const allpass = Math.sin((w - w * fraction) / 2) / Math.sin((w + w * fraction) / 2);
  return { delay, loss: wanted / Math.hypot(re, im), damping, allpass };
}

/** A pick is not sharp: its noise falls by 6 dB an octave from here on, Hz. Common practice, no source. */
const PICK_CORNER_HZ = 1500;

function excitation({ pickPosition, seed, sampleRateHz }: Pluck, length: number): Float64Array {
  const noise = smoothCircle(
    seededNoise(length, seed),
    Math.exp((-2 * Math.PI * PICK_CORNER_HZ) / sampleRateHz),
  );
  const shift = Math.round(Math.min(1, Math.max(0, pickPosition)) * length) % length;
  const burst = noise.map((x, n) => x - (shift === 0 ? 0 : noise[(n - shift + length) % length]!));
  // without a mean: the loop would hold on to it for seconds
  const mean = burst.reduce((a, b) => a + b, 0) / length;
  return burst.map((x) => x - mean);
}

/** One-pole low-pass round and round the burst, in place, until it has settled. */
function smoothCircle(signal: Float64Array, pole: number): Float64Array {
  const source = signal.slice();
  let state = 0;
  for (let turn = 0; turn < 3; turn++) {
    for (let n = 0; n < signal.length; n++) {
      state = (1 - pole) * source[n]! + pole * state;
      signal[n] = state;
    }
  }
  return signal;
}

function runLoop(line: Float64Array, loop: Loop, output: Float64Array): void {
  let place = 0;
  let last = 0;
  let allpassInput = 0;
  let allpassOutput = 0;
  for (let n = 0; n < output.length; n++) {
    const sample = line[place]!;
    output[n] = sample;
    const averaged = loop.loss * ((1 - loop.damping) * sample + loop.damping * last);
    allpassOutput = loop.allpass * (averaged - allpassOutput) + allpassInput;
    allpassInput = averaged;
    last = sample;
    line[place] = allpassOutput;
    place = place + 1 === line.length ? 0 : place + 1;
  }
}

/** Repeatable noise, uniform in ±1. @see T. Ettinger, mulberry32 (public domain) */
function seededNoise(length: number, seed: number): Float64Array {
  let state = seed | 0;
  return Float64Array.from({ length }, () => {
    state = (state + 0x6d2b79f5) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 31 - 1;
  });
}

function scaleToPeak(signal: Float64Array, peak: number): Float64Array {
  const present = signal.reduce((most, x) => Math.max(most, Math.abs(x)), 0);
  return present === 0 ? signal : signal.map((x) => (x * peak) / present);
}
