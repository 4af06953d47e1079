import { HOP_SECONDS, HOPS_PER_BLOCK } from '../../engine/audio/loudness.ts';
import type { Telemetry } from '../audio/telemetry.ts';
import type { LevelMatch } from '../state/bench-state.ts';

/** With a larger difference, A and B can be told apart by level. @see ITU-R BS.1116, levels within 0.1 dB */
export const MATCH_TOLERANCE_DB = 0.1;
/** A shorter measurement says little about music. */
const LEAST_SECONDS = 3;
/** Longest measurement. */
const MOST_SECONDS = 30;
/** A live input never repeats exactly: its mean settles slowly. */
const LIVE_SECONDS = 10;

/**
 * Loudness is a mean over overlapping blocks of 400 ms. All notes of a loop have equal weight only if blocks
 * begin throughout the loop; the last blocks then reach this far into the next loop.
 */
const OVERLAP_SECONDS = (HOPS_PER_BLOCK - 1) * HOP_SECONDS;

/**
 * Seconds over which loudness is measured for a match: whole loops plus the overlap, so that both builds are
 * measured on every note.
 */
export function matchSeconds(roundSeconds: number | undefined): number {
  if (roundSeconds === undefined || !(roundSeconds > 0)) return LEAST_SECONDS;
  const rounds = Math.ceil(LEAST_SECONDS / roundSeconds);
  return Math.min(MOST_SECONDS, rounds * roundSeconds) + OVERLAP_SECONDS;
}

/** A measurement that ends this soon after a whole loop counts as whole loops: telemetry comes 30 times a second. */
const ROUND_SLACK_SECONDS = 0.07;
/** After this many loops a partial loop no longer matters. */
const SETTLED_ROUNDS = 4;
const SETTLED_SECONDS = 20;

/** How much louder A is than B with the present match, dB; undefined until enough has been played. */
export function matchErrorDb(
  match: Pick<LevelMatch, 'db'>,
  telemetry: Telemetry,
  roundSeconds: number | undefined,
): number | undefined {
  const needed =
    roundSeconds === undefined ? LIVE_SECONDS : Math.max(SETTLED_SECONDS, SETTLED_ROUNDS * roundSeconds);
  return telemetry.measuredSeconds >= needed ? differenceDb(match, telemetry) : undefined;
}

/**
 * The same at the end of a loop, when both were measured on every note equally; undefined in between. One and a
 * half loops have other notes than whole loops, and would differ by more than the tolerance.
 */
export function matchErrorOverRoundsDb(
  match: Pick<LevelMatch, 'db'>,
  telemetry: Telemetry,
  roundSeconds: number,
): number | undefined {
  const { measuredSeconds } = telemetry;
  const isWhole = (measuredSeconds - OVERLAP_SECONDS) % roundSeconds < ROUND_SLACK_SECONDS;
  return isWhole && measuredSeconds >= matchSeconds(roundSeconds)
    ? differenceDb(match, telemetry)
    : undefined;
}

function differenceDb(
  { db }: Pick<LevelMatch, 'db'>,
  { loudnessA, loudnessB }: Telemetry,
): number | undefined {
  const difference = loudnessA + db.a - (loudnessB + db.b);
  return Number.isFinite(difference) ? difference : undefined;
}
