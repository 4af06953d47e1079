import { describe, expect, it } from 'vitest';
import { loudnessReadings } from '../../engine/audio/programme-loudness.ts';
import type { Telemetry } from '../../ui/audio/telemetry.ts';
import {
  MATCH_TOLERANCE_DB,
  matchErrorDb,
  matchErrorOverRoundsDb,
  matchSeconds,
} from '../../ui/ear/level-check.ts';

const match = { db: { a: 0, b: -3 } };
const told = (measuredSeconds: number, loudnessA = -20, loudnessB = -17) =>
  ({ measuredSeconds, loudnessA, loudnessB }) as Telemetry;

/** Loudness during the match of a loop of three notes that die away, measured from some moment of the loop. */
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
  it('is measured over whole loops of at least three seconds', () => {
    // plus the 300 ms by which blocks of 400 ms overlap
    expect(matchSeconds(6)).toBeCloseTo(6.3, 9);
    expect(matchSeconds(2)).toBeCloseTo(4.3, 9);
    expect(matchSeconds(undefined)).toBe(3);
  });

  it('is the same within the tolerance wherever in a loop it begins', () => {
    const roundSeconds = 3.2;
    const offsets = Array.from({ length: 32 }, (_, n) => {
      const start = (n / 32) * roundSeconds;
      return loudnessOfNotes(0.3, start, roundSeconds) - loudnessOfNotes(1.2, start, roundSeconds);
    });
    const middle = (Math.max(...offsets) + Math.min(...offsets)) / 2;
    expect(Math.max(...offsets) - middle).toBeLessThan(MATCH_TOLERANCE_DB);
  });

  it('is checked in a blind test only at the end of a loop', () => {
    expect(matchErrorOverRoundsDb(match, told(6.33), 6)).toBeCloseTo(0, 9);
    expect(matchErrorOverRoundsDb(match, told(9), 6)).toBeUndefined();
    expect(matchErrorOverRoundsDb(match, told(12.32, -19.8), 6)).toBeCloseTo(0.2, 9);
    expect(matchErrorOverRoundsDb(match, told(0.32), 6)).toBeUndefined();
  });

  it('is checked on the bench as soon as the rest of the present loop no longer matters', () => {
    expect(matchErrorDb(match, told(19), 2)).toBeUndefined();
    expect(matchErrorDb(match, told(23.9), 6)).toBeUndefined();
    expect(matchErrorDb(match, told(25, -20.5), 6)).toBeCloseTo(-0.5, 9);
    expect(matchErrorDb(match, told(11), undefined)).toBeCloseTo(0, 9);
  });

  it('gives no result in silence', () => {
    expect(matchErrorDb(match, told(60, Number.NEGATIVE_INFINITY), 6)).toBeUndefined();
  });
});
