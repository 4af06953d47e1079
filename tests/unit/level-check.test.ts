import { describe, expect, it } from 'vitest';
import { loudnessReadings } from '../../engine/audio/programme-loudness.ts';
import type { Telemetry } from '../../ui/audio/telemetry.ts';
import {
  MATCH_TOLERANCE_DB,
  matchErrorDb,
  matchErrorOverRoundsDb,
  matchSeconds,
} from '../../ui/ear/level-check.ts';

const match = { db: { a: 0, b: -3 }, sound: undefined, isMeasuring: false, isFollowing: false };
const told = (measuredSeconds: number, loudnessA = -20, loudnessB = -17) =>
  ({ measuredSeconds, loudnessA, loudnessB }) as Telemetry;

/** Loudness over a match of three notes that come round and round and die away, measured from a moment of the round. */
function loudnessOfNotes(decaySeconds: number, startSeconds: number, roundSeconds: number): number {
  const sampleRateHz = 8000;
  const length = Math.round(matchSeconds(roundSeconds) * sampleRateHz);
  const samples = Float64Array.from({ length }, (_, n) => {
    const t = (startSeconds + n / sampleRateHz) % roundSeconds;
    const note = NOTES_AT_SECONDS.filter((at) => at <= t).at(-1)!;
    return 0.1 * Math.sin(2 * Math.PI * 500 * t) * Math.exp(-(t - note) / decaySeconds);
  });
  return loudnessReadings([samples], sampleRateHz).integratedLufs;
}

const NOTES_AT_SECONDS = [0, 1.1, 1.9];

describe('the level match', () => {
  it('is measured over whole rounds of at least three seconds', () => {
    // and the 300 ms that blocks of 400 ms overlap
    expect(matchSeconds(6)).toBeCloseTo(6.3, 9);
    expect(matchSeconds(2)).toBeCloseTo(4.3, 9);
    expect(matchSeconds(undefined)).toBe(3);
  });

  it('is the same to the tolerance wherever in a round it begins', () => {
    const roundSeconds = 3.2;
    const offsets = Array.from({ length: 32 }, (_, n) => {
      const start = (n / 32) * roundSeconds;
      return loudnessOfNotes(0.3, start, roundSeconds) - loudnessOfNotes(1.2, start, roundSeconds);
    });
    const middle = (Math.max(...offsets) + Math.min(...offsets)) / 2;
    expect(Math.max(...offsets) - middle).toBeLessThan(MATCH_TOLERANCE_DB);
  });

  it('is judged in a blind test at the end of rounds only', () => {
    expect(matchErrorOverRoundsDb(match, told(6.33), 6)).toBeCloseTo(0, 9);
    expect(matchErrorOverRoundsDb(match, told(9), 6)).toBeUndefined();
    expect(matchErrorOverRoundsDb(match, told(12.32, -19.8), 6)).toBeCloseTo(0.2, 9);
    expect(matchErrorOverRoundsDb(match, told(0.32), 6)).toBeUndefined();
  });

  it('is judged on the bench once the round under way no longer tells', () => {
    expect(matchErrorDb(match, told(19), 2)).toBeUndefined();
    expect(matchErrorDb(match, told(23.9), 6)).toBeUndefined();
    expect(matchErrorDb(match, told(25, -20.5), 6)).toBeCloseTo(-0.5, 9);
    expect(matchErrorDb(match, told(11), undefined)).toBeCloseTo(0, 9);
  });

  it('says nothing in silence', () => {
    expect(matchErrorDb(match, told(60, Number.NEGATIVE_INFINITY), 6)).toBeUndefined();
  });
});
