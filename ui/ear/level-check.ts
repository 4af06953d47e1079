import { HOP_SECONDS, HOPS_PER_BLOCK } from '../../engine/audio/loudness.ts';
import type { Telemetry } from '../audio/telemetry.ts';
import type { LevelMatch } from '../state/bench-state.ts';

/** A and B further apart than this are told apart by their level. @see ITU-R BS.1116, levels within 0.1 dB */
export const MATCH_TOLERANCE_DB = 0.1;
/** Shorter than this says little of music. */
const LEAST_SECONDS = 3;
/** Longer than this is not waited for. */
const MOST_SECONDS = 30;
/** A live input never plays the same again: its mean settles slowly. */
const LIVE_SECONDS = 10;

/**
 * Loudness is a mean over blocks of 400 ms that overlap. Only where they begin all through a round do its notes weigh
 * alike, whichever it began with: the last blocks reach so far into the next round.
 */
const OVERLAP_SECONDS = (HOPS_PER_BLOCK - 1) * HOP_SECONDS;

/**
 * Seconds over which loudness is measured for a match: whole rounds of what plays, and the overlap, so that both builds
 * are measured on every note of it.
 */
export function matchSeconds(roundSeconds: number | undefined): number {
  if (roundSeconds === undefined || !(roundSeconds > 0)) return LEAST_SECONDS;
  const rounds = Math.ceil(LEAST_SECONDS / roundSeconds);
  return Math.min(MOST_SECONDS, rounds * roundSeconds) + OVERLAP_SECONDS;
}

/** A measurement that ends so soon after a whole round is one of whole rounds: telemetry comes 30 times a second. */
const ROUND_SLACK_SECONDS = 0.07;
/** So many rounds have to be over before the part of one that is under way no longer tells. */
const SETTLED_ROUNDS = 4;
const SETTLED_SECONDS = 20;

/** How much louder A is than B as they are matched now, dB; undefined before so much has been played that it is sure. */
export function matchErrorDb(
  match: LevelMatch,
  telemetry: Telemetry,
  roundSeconds: number | undefined,
): number | undefined {
  const needed =
    roundSeconds === undefined ? LIVE_SECONDS : Math.max(SETTLED_SECONDS, SETTLED_ROUNDS * roundSeconds);
  return telemetry.measuredSeconds >= needed ? differenceDb(match, telemetry) : undefined;
}

/**
 * The same at the end of a round of what plays, when both were measured on every note of it alike; undefined between. A
 * round and a half has other notes than a match over whole rounds, and would differ by more than what is looked for.
 */
export function matchErrorOverRoundsDb(
  match: LevelMatch,
  telemetry: Telemetry,
  roundSeconds: number,
): number | undefined {
  const { measuredSeconds } = telemetry;
  const isWhole = (measuredSeconds - OVERLAP_SECONDS) % roundSeconds < ROUND_SLACK_SECONDS;
  return isWhole && measuredSeconds >= matchSeconds(roundSeconds)
    ? differenceDb(match, telemetry)
    : undefined;
}

function differenceDb({ db }: LevelMatch, { loudnessA, loudnessB }: Telemetry): number | undefined {
  const difference = loudnessA + db.a - (loudnessB + db.b);
  return Number.isFinite(difference) ? difference : undefined;
}
