/**
 * What is taken from outside at most: the one place that says so, for the page and the command line alike. Every
 * limit lies far beyond what a guitarist has, and ahead of what would fill the memory or take the machine's time.
 */

/** A build file has some kilobytes. */
export const MOST_BUILD_CHARACTERS = 1_000_000;
/** The same in bytes, which are looked at before the file is read: up to three for a character. */
export const MOST_BUILD_BYTES = 3 * MOST_BUILD_CHARACTERS;
/** Objects and lists within each other; a build file has three. */
export const MOST_JSON_DEPTH = 16;
export const MOST_TITLE_CHARACTERS = 200;
export const MOST_NOTES_CHARACTERS = 20_000;
/** A value or type as typed; "1.000 megohms" has 13. */
export const MOST_VALUE_CHARACTERS = 40;
/** All that is soldered at one part, such as "2x 1N4148 // LED-red". */
export const MOST_SETTING_CHARACTERS = 100;

/** Ten minutes of stereo at 24 bits and 96 kHz take 345 MB. */
export const MOST_RECORDING_BYTES = 512 * 2 ** 20;
/** What only the browser can decode is some ten times smaller than what it becomes: 20 minutes at 160 kbit/s. */
export const MOST_COMPRESSED_BYTES = 24 * 2 ** 20;
/** An impulse response is a second long at most; this leaves room for high rates and two channels. */
export const MOST_IMPULSE_RESPONSE_BYTES = 20_000_000;
/** Rates of recordings: a telephone's to the highest that interfaces offer. */
export const RECORDING_RATE_HZ = { least: 8000, most: 384_000 } as const;
export const MOST_CHANNELS = 32;
/** Of a full scale of 1: far above any converter; files that hold the whole numbers of 16 bits are below it. */
export const MOST_SAMPLE = 1e5;
/** What goes into a build: far above any instrument, and the solver bears it (at 10 million volts it does not). */
export const MOST_INPUT_V = 1e5;
/** What is read in pieces may be a set on stage; what is held whole in the memory a long song. */
export const LONGEST_STREAM_SECONDS = 45 * 60;
export const LONGEST_SOUND_SECONDS = 10 * 60;
/** Samples of all channels that are held at once: a gigabyte. Ten minutes of stereo at 96 kHz have 115 million. */
export const MOST_HELD_SAMPLES = 2 ** 27;

/** A number that may be asked for. */
export interface NumberLimits {
  readonly least: number;
  readonly most: number;
  /** Behind the number, with its space; empty for a plain number. */
  readonly unit: string;
}

/** Numbers of the command line, by their option. */
export const OPTION_LIMITS = {
  hz: { least: 10, most: 20_000, unit: ' Hz' },
  peak: { least: 1e-6, most: 100, unit: ' V' },
  frequencies: { least: 0.001, most: 1e7, unit: ' Hz' },
  cable: { least: 0.1, most: 30, unit: ' m' },
  turn: { least: 0.1, most: LONGEST_SOUND_SECONDS, unit: ' s' },
  rounds: { least: 1, most: 1000, unit: '' },
  channel: { least: 1, most: MOST_CHANNELS, unit: '' },
  'volts-per-full-scale': { least: 0.001, most: 1000, unit: ' V' },
} as const satisfies Readonly<Record<string, NumberLimits>>;

/** Frequencies in one list. */
export const MOST_FREQUENCIES = 10_000;
