import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { lawsOfLetter, POT_LAWS, potTitle, trackFraction } from '../../engine/units/taper.ts';

const law = fc.constantFrom(...POT_LAWS);
const rotation = fc.double({ min: 0, max: 1, noNaN: true });
/** Tolerance for a few additions and multiplications of numbers below one. */
const ROUNDING = 1e-15;

describe('tapers of potentiometers', () => {
  it('have at half rotation the percentage in their names', () => {
    // Alps "15A" = 15 % at centre; W and G 50 % at centre from memory.
    expect(trackFraction('linear', 0.5)).toBe(0.5);
    expect(trackFraction('audio-10', 0.5)).toBe(0.1);
    expect(trackFraction('audio-15', 0.5)).toBe(0.15);
    expect(trackFraction('audio-20', 0.5)).toBe(0.2);
    expect(trackFraction('reverse-audio-15', 0.5)).toBeCloseTo(0.85, 15);
    expect(trackFraction('reverse-audio-10', 0.5)).toBeCloseTo(0.9, 15);
    expect(trackFraction('s-shaped', 0.5)).toBe(0.5);
  });

  it('run from one end of the track to the other', () => {
    for (const each of POT_LAWS) {
      expect(trackFraction(each, 0)).toBe(0);
      expect(trackFraction(each, 1)).toBe(1);
    }
  });

  it('never decrease', () => {
    fc.assert(
      fc.property(law, rotation, rotation, (each, one, other) => {
        const from = trackFraction(each, Math.min(one, other));
        const to = trackFraction(each, Math.max(one, other));
        expect(to - from).toBeGreaterThanOrEqual(-ROUNDING);
      }),
    );
  });

  it('have reverse audio as audio from the other end', () => {
    fc.assert(
      fc.property(rotation, (x) => {
        expect(
          Math.abs(trackFraction('reverse-audio-15', x) + trackFraction('audio-15', 1 - x) - 1),
        ).toBeLessThanOrEqual(ROUNDING);
        expect(
          Math.abs(trackFraction('reverse-audio-10', x) + trackFraction('audio-10', 1 - x) - 1),
        ).toBeLessThanOrEqual(ROUNDING);
      }),
    );
  });

  it('have the S-shaped taper symmetrical about the middle', () => {
    fc.assert(
      fc.property(rotation, (x) => {
        expect(
          Math.abs(trackFraction('s-shaped', x) + trackFraction('s-shaped', 1 - x) - 1),
        ).toBeLessThanOrEqual(ROUNDING);
      }),
    );
  });

  it('are above the exponential with the same middle, by less than a quarter of the track', () => {
    // y = (b^x − 1)/(b − 1), b = (1/m − 1)²: at 1/4 .0250 .0444 .0667, at 3/4 .3250 .4014 .4667.
    const tables = [
      ['audio-10', 0.025, 0.325],
      ['audio-15', 0.0444, 0.4014],
      ['audio-20', 0.0667, 0.4667],
    ] as const;
    for (const [each, quarter, threeQuarters] of tables) {
      for (const [x, exponential] of [
        [0.25, quarter],
        [0.75, threeQuarters],
      ] as const) {
        // The chord of a convex curve is above it; the largest difference of the three is 0.232, near 0.79.
        expect(trackFraction(each, x)).toBeGreaterThan(exponential);
        expect(trackFraction(each, x) - exponential).toBeLessThan(0.25);
      }
    }
  });

  it('treat a rotation beyond the stop as the stop', () => {
    expect(trackFraction('audio-15', -0.2)).toBe(0);
    expect(trackFraction('audio-15', 1.2)).toBe(1);
  });

  it('are named after their curves', () => {
    expect(POT_LAWS.map(potTitle)).toEqual([
      'linear',
      'audio 15 %',
      'audio 10 %',
      'audio 20 %',
      'reverse audio 15 %',
      'reverse audio 10 %',
      'S-shaped',
    ]);
  });
});

describe('letters on potentiometers', () => {
  it('mean different curves to different makers for A and B', () => {
    expect(lawsOfLetter('B')).toEqual([
      { law: 'linear', makers: 'most makers' },
      { law: 'audio-15', makers: 'some European makers' },
    ]);
    expect(lawsOfLetter('a').map((meaning) => meaning.law)).toEqual(['audio-15', 'linear']);
  });

  it('mean one curve for C and W, and none for a letter not in use', () => {
    expect(lawsOfLetter('C').map((meaning) => meaning.law)).toEqual(['reverse-audio-15']);
    expect(lawsOfLetter('W').map((meaning) => meaning.law)).toEqual(['s-shaped']);
    expect(lawsOfLetter('Q')).toEqual([]);
  });
});
