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
 * Seconds over which loudness is measured for a match: whole rounds of what plays, so that both builds are measured
 * on every note of it.
 */
export function matchSeconds(roundSeconds: number | undefined): number {
  if (roundSeconds === undefined || !(roundSeconds > 0)) return LEAST_SECONDS;
  const rounds = Math.ceil(LEAST_SECONDS / roundSeconds);
  return Math.min(MOST_SECONDS, rounds * roundSeconds);
}

/** How much louder A is than B as they are matched now, dB; undefined before enough has been played to say. */
export function matchErrorDb(
  { db }: LevelMatch,
  { loudnessA, loudnessB, measuredSeconds }: Telemetry,
  roundSeconds: number | undefined,
): number | undefined {
  const needed = roundSeconds === undefined ? LIVE_SECONDS : matchSeconds(roundSeconds);
  const difference = loudnessA + db.a - (loudnessB + db.b);
  return measuredSeconds >= needed && Number.isFinite(difference) ? difference : undefined;
}
