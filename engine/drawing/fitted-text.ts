import { cutText, textWidth, type Weight } from './text-width.ts';

/** Smallest readable size of a label, as a share of the usual one, on a sheet that fits the width. */
const SMALLEST_SHARE = 0.7;

/** A label as it is written, and its size as a share of the usual one. */
export interface FittedText {
  readonly written: string;
  readonly share: number;
}

/**
 * A label in the room that the drawing keeps for it: a value with another in parallel is longer than that. First it is
 * written shorter (without the spaces around `//` and after `2x`), then with smaller letters, and only then is it cut.
 *
 * @param room Width as a multiple of the usual size of the letters.
 */
export function fittedText(text: string, room: number, weight: Weight): FittedText {
  if (textWidth(text, weight) <= room) return { written: text, share: 1 };
  const tight = text
    .replaceAll(' // ', '//')
    .replace(/(\d)x /, '$1x')
    .replace('not fitted', 'unfitted');
  const share = Math.min(1, Math.max(SMALLEST_SHARE, room / textWidth(tight, weight)));
  return { written: cutText(tight, room / share + 1e-9, weight), share };
}
