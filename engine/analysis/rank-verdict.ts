import type { Candidate } from './rank-candidates.ts';
import type { SoundDifference } from './sound-difference.ts';

/**
 * What the data allow to say of a candidate. `none`: it differs from the present part no more than pieces of the two
 * types do. `not ranked`: its own data is a guess. In the order of the list.
 */
export type Verdict = 'none' | 'differs' | 'not ranked';
export const VERDICTS: readonly Verdict[] = ['none', 'differs', 'not ranked'];

/** Heads the candidates without a verdict, and the present part. */
export const NO_VERDICT_NOTE = 'No verdict: pieces of one type differ as much as these types do.';
/** What is compared with what. */
export const VERDICT_RULE =
  'No verdict where tone change and loudness are both within the spread from piece to piece, that of the present type and ' +
  'that of the candidate together (root of the sum of squares). Parts swapped together count as one batch: all low or all high.';

/** The two measures of a verdict. */
type PieceDifference = Pick<SoundDifference, 'spectrumDb' | 'loudnessLu'>;

/** A piece at either end of the spread of its type, against a typical one. */
interface SpreadEnds {
  readonly low: PieceDifference;
  readonly high: PieceDifference;
}

/** @param spreads Of the present type and, unless the first alone decides, of the candidate. */
export function verdictOn(
  { notRanked }: Candidate,
  difference: PieceDifference,
  spreads: readonly SpreadEnds[],
): Verdict {
  if (notRanked !== undefined) return 'not ranked';
  return isWithinPieces(difference, spreads) ? 'none' : 'differs';
}

/** Whether pieces of types with these spreads differ at least as much. */
export function isWithinPieces(difference: PieceDifference, spreads: readonly SpreadEnds[]): boolean {
  const { spectrumDb, loudnessLu } = piecesDiffer(spreads);
  return difference.spectrumDb <= spectrumDb && Math.abs(difference.loudnessLu) <= loudnessLu;
}

/** Of independent pieces the squares add; of each type the end that differs more counts. */
function piecesDiffer(spreads: readonly SpreadEnds[]): PieceDifference {
  const sum = (of: (end: PieceDifference) => number) =>
    Math.hypot(...spreads.map(({ low, high }) => Math.max(Math.abs(of(low)), Math.abs(of(high)))));
  return { spectrumDb: sum((end) => end.spectrumDb), loudnessLu: sum((end) => end.loudnessLu) };
}
