import { describe, expect, it } from 'vitest';
import type { Telemetry } from '../../ui/audio/telemetry.ts';
import { matchErrorDb, matchErrorOverRoundsDb, matchSeconds } from '../../ui/ear/level-check.ts';

const match = { db: { a: 0, b: -3 }, sound: undefined, isMeasuring: false, isFollowing: false };
const told = (measuredSeconds: number, loudnessA = -20, loudnessB = -17) =>
  ({ measuredSeconds, loudnessA, loudnessB }) as Telemetry;

describe('the level match', () => {
  it('is measured over whole rounds of at least three seconds', () => {
    expect(matchSeconds(6)).toBe(6);
    expect(matchSeconds(2)).toBe(4);
    expect(matchSeconds(undefined)).toBe(3);
  });

  it('is judged in a blind test at the end of rounds only', () => {
    expect(matchErrorOverRoundsDb(match, told(6.03), 6)).toBeCloseTo(0, 9);
    expect(matchErrorOverRoundsDb(match, told(9), 6)).toBeUndefined();
    expect(matchErrorOverRoundsDb(match, told(12.02, -19.8), 6)).toBeCloseTo(0.2, 9);
    expect(matchErrorOverRoundsDb(match, told(0.02), 6)).toBeUndefined();
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
