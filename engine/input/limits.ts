/**
 * Limits of everything that comes from outside, for the page and the command line. Each limit is far above what
 * a guitarist has, and below what would fill the memory or block the machine.
 */

/** A build file has some kilobytes. */
export const MOST_BUILD_CHARACTERS = 1_000_000;
/** The same in bytes (up to three a character), checked before the file is read. */
export const MOST_BUILD_BYTES = 3 * MOST_BUILD_CHARACTERS;
/** As many as three build files have; in bytes as for one. */
export const MOST_CHAIN_CHARACTERS = 3 * MOST_BUILD_CHARACTERS;
export const MOST_CHAIN_BYTES = 3 * MOST_CHAIN_CHARACTERS;
/** Nested objects and lists; a build file has three levels. */
export const MOST_JSON_DEPTH = 16;
export const MOST_TITLE_CHARACTERS = 200;
export const MOST_NOTES_CHARACTERS = 20_000;
/** A value or type as typed; "1.000 megohms" has 13. */
export const MOST_VALUE_CHARACTERS = 40;
/** Text of everything soldered at one place, such as "2x 1N4148 // LED-red". */
export const MOST_SETTING_CHARACTERS = 100;

/** Ten minutes of stereo at 24 bits and 96 kHz take 345 MB. */
export const MOST_RECORDING_BYTES = 512 * 2 ** 20;
/** Compressed files grow about tenfold when the browser decodes them: 20 minutes at 160 kbit/s. */
export const MOST_COMPRESSED_BYTES = 24 * 2 ** 20;
/** An impulse response is a second long at most; this leaves room for high rates and two channels. */
export const MOST_IMPULSE_RESPONSE_BYTES = 20_000_000;
/** Sample rates of recordings: from telephone quality to the highest of interfaces. */
export const RECORDING_RATE_HZ = { least: 8000, most: 384_000 } as const;
export const MOST_CHANNELS = 32;
/** Largest sample value; full scale is 1. Files that hold 16-bit integers as floating point stay below it. */
export const MOST_SAMPLE = 1e5;
/** Largest input of a build, V: far above any instrument. The solver handles it; at 10 million volts it fails. */
export const MOST_INPUT_V = 1e5;
/** A recording that is read in pieces may be a whole set; one that is held in memory, a long song. */
export const LONGEST_STREAM_SECONDS = 45 * 60;
export const LONGEST_SOUND_SECONDS = 10 * 60;
/** Samples of all channels held in memory at once: a gigabyte. Ten minutes of stereo at 96 kHz are 115 million. */
export const MOST_HELD_SAMPLES = 2 ** 27;

/** Range of a number. */
export interface NumberLimits {
  readonly least: number;
  readonly most: number;
  /** Unit with the space before it; empty for a plain number. */
  readonly unit: string;
}

/** Numbers of the command line, by their option. */
export const OPTION_LIMITS = {
  hz: { least: 10, most: 20_000, unit: ' Hz' },
  peak: { least: 1e-6, most: 100, unit: ' V' },
  frequencies: { least: 0.001, most: 1e7, unit: ' Hz' },
  cable: { least: 0.1, most: 30, unit: ' m' },
  'into-cable': { least: 0, most: 30, unit: ' m' },
  'then-cable': { least: 0, most: 30, unit: ' m' },
  turn: { least: 0.1, most: LONGEST_SOUND_SECONDS, unit: ' s' },
  loops: { least: 1, most: 1000, unit: '' },
  count: { least: 100, most: 100_000, unit: '' },
  clipping: { least: 0, most: 10_000, unit: '' },
  seed: { least: 0, most: 1_000_000, unit: '' },
  resistors: { least: 0.1, most: 20, unit: ' %' },
  capacitors: { least: 0.1, most: 20, unit: ' %' },
  channel: { least: 1, most: MOST_CHANNELS, unit: '' },
  supplies: { least: 1, most: 60, unit: ' V' },
  readings: { least: -100, most: 100, unit: ' V' },
  'volts-per-full-scale': { least: 0.001, most: 1000, unit: ' V' },
} as const satisfies Readonly<Record<string, NumberLimits>>;

/** Supply voltages in one list. */
export const MOST_SUPPLIES = 6;
/** Input resistance of a meter, ohms: an old one on its lowest range, and one that loads nothing. */
export const METER_OHMS: NumberLimits = { least: 1000, most: 1e12, unit: ' Ω' };
/** Frequencies in one list. */
export const MOST_FREQUENCIES = 10_000;
