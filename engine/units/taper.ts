/** Taper of a potentiometer: name of the curve, with the percentage of the track at half rotation. */
export type PotLaw =
  | 'linear'
  | 'audio-15'
  | 'audio-10'
  | 'audio-20'
  | 'reverse-audio-15'
  | 'reverse-audio-10'
  | 's-shaped';

/**
 * S-shaped taper (letters W and G): half the track at half rotation, flat near both ends and steep in the
 * middle. Only the middle is a known figure; the flat ends, and the corners at a quarter of the rotation with a
 * tenth of the track, are from memory, no source.
 */
const S_CORNER_ROTATION = 0.25;
const S_CORNER_FRACTION = 0.1;

/** Every taper in the order of the menu, with its name on the screen. */
const TITLES: Readonly<Record<PotLaw, string>> = {
  linear: 'linear',
  'audio-15': 'audio 15 %',
  'audio-10': 'audio 10 %',
  'audio-20': 'audio 20 %',
  'reverse-audio-15': 'reverse audio 15 %',
  'reverse-audio-10': 'reverse audio 10 %',
  's-shaped': 'S-shaped',
};
export const POT_LAWS = Object.keys(TITLES) as readonly PotLaw[];

/** Name of a taper on the screen. */
export function potTitle(law: PotLaw): string {
  return TITLES[law];
}

/** Name of a taper without the percents of its curve: what a letter on the part says. */
export function taperFamily(law: PotLaw): string {
  return TITLES[law].replace(/ \d+ %$/, '');
}

/**
 * Fraction of the track between the counter-clockwise end and the wiper.
 *
 * Audio tracks are printed as two straight slopes that meet at half rotation, not as an exponential:
 *
 *   y_A(x) = 2·m·x  for x ≤ 1/2,  m + 2·(1 − m)·(x − 1/2) above;   reverse: y_C(x) = 1 − y_A(1 − x)
 *
 * with m the fraction at half rotation. End resistance is not part of the taper.
 *
 * @param rotation 0 fully counter-clockwise to 1 fully clockwise; values outside are taken as the ends.
 * Never throws; NaN for NaN. Real-time safe.
 * @see m = 0.15: Alps "15A". An exponential through the same middle is lower, by up to a quarter of the track.
 */
export function trackFraction(law: PotLaw, rotation: number): number {
  const x = Math.min(Math.max(rotation, 0), 1);
  switch (law) {
    case 'linear':
      return x;
    case 'audio-10':
      return twoSlopes(0.1, x);
    case 'audio-15':
      return twoSlopes(0.15, x);
    case 'audio-20':
      return twoSlopes(0.2, x);
    case 'reverse-audio-10':
      return 1 - twoSlopes(0.1, 1 - x);
    case 'reverse-audio-15':
      return 1 - twoSlopes(0.15, 1 - x);
    case 's-shaped':
      return x <= 0.5 ? halfOfS(x) : 1 - halfOfS(1 - x);
  }
}

/** One meaning of a potentiometer's letter. */
export interface LetterMeaning {
  readonly law: PotLaw;
  /** Which makers use the letter this way, to resolve a conflict. */
  readonly makers: 'most makers' | 'some European makers';
}

/**
 * What the letter printed on a potentiometer may mean: more than one entry where makers disagree, none for
 * a letter that is not in use. Case does not matter. The percentage behind A and C is the usual 15 %; makers
 * that print another put the figure beside the letter (10A, 20A).
 */
export function lawsOfLetter(letter: string): readonly LetterMeaning[] {
  return LETTERS[letter.trim().toUpperCase()] ?? [];
}

/** D as the steeper audio curve is from memory. */
const LETTERS: Readonly<Record<string, readonly LetterMeaning[]>> = {
  A: [
    { law: 'audio-15', makers: 'most makers' },
    { law: 'linear', makers: 'some European makers' },
  ],
  B: [
    { law: 'linear', makers: 'most makers' },
    { law: 'audio-15', makers: 'some European makers' },
  ],
  C: [{ law: 'reverse-audio-15', makers: 'most makers' }],
  D: [{ law: 'audio-10', makers: 'most makers' }],
  G: [{ law: 's-shaped', makers: 'most makers' }],
  W: [{ law: 's-shaped', makers: 'most makers' }],
};

function twoSlopes(middle: number, x: number): number {
  return x <= 0.5 ? 2 * middle * x : 1 - 2 * (1 - middle) * (1 - x);
}

function halfOfS(x: number): number {
  if (x <= S_CORNER_ROTATION) return (S_CORNER_FRACTION / S_CORNER_ROTATION) * x;
  return 0.5 - ((0.5 - S_CORNER_FRACTION) / (0.5 - S_CORNER_ROTATION)) * (0.5 - x);
}
