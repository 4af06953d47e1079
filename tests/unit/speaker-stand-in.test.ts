import { describe, expect, it } from 'vitest';
import { SpeakerStandIn, standInResponseDb } from '../../engine/audio/speaker-stand-in.ts';
import { decibels, inBlocks, noise, sine, toneAt } from './audio-signals.ts';

/** The documented curve: Hz, dB. */
const TABLE: readonly (readonly [number, number])[] = [
  [20, -22.88],
  [40, -10.83],
  [80, -0.48],
  [110, 1.96],
  [200, 0.44],
  [500, -2.17],
  [1000, -0.25],
  [2000, 3.13],
  [2800, 4.82],
  [4000, 2.28],
  [4800, -0.85],
  [6000, -7.12],
  [8000, -17.13],
];

type Quadratic = readonly [number, number, number];

/** |N(jx) / D(jx)| in dB, coefficients of s⁰, s¹, s². */
function analogueDb(x: number, numerator: Quadratic, denominator: Quadratic): number {
  const magnitude = ([c0, c1, c2]: Quadratic): number => Math.hypot(c0 - c2 * x * x, c1 * x);
  return decibels(magnitude(numerator) / magnitude(denominator));
}

function peakDb(x: number, quality: number, gainDb: number): number {
  const a = 10 ** (gainDb / 40);
  return analogueDb(x, [1, a / quality, 1], [1, 1 / (a * quality), 1]);
}

/** The analogue prototypes of the Audio EQ Cookbook (R. Bristow-Johnson), as given in its text. */
function prototypeDb(hz: number): number {
  const lowPasses = [Math.PI / 8, (3 * Math.PI) / 8].map((angle) =>
    analogueDb(hz / 4800, [1, 0, 0], [1, 2 * Math.cos(angle), 1]),
  );
  return (
    analogueDb(hz / 75, [0, 0, 1], [1, Math.SQRT2, 1]) +
    peakDb(hz / 110, 1, 3) +
    peakDb(hz / 500, 0.8, -2.5) +
    peakDb(hz / 2800, 1, 5) +
    lowPasses.reduce((a, b) => a + b)
  );
}

describe.each([44100, 48000, 96000])('speaker stand-in at %i Hz', (sampleRateHz) => {
  it('has the documented curve', () => {
    for (const [hz, db] of TABLE) {
      expect(Math.abs(standInResponseDb(hz, sampleRateHz) - db), `${hz} Hz`).toBeLessThan(0.05);
    }
  });

  it('follows its analogue prototype from 20 Hz to 8 kHz', () => {
    for (let hz = 20; hz <= 8000; hz *= 1.05) {
      const error = standInResponseDb(hz, sampleRateHz) - prototypeDb(hz);
      expect(Math.abs(error), `${hz} Hz`).toBeLessThan(0.05); // a twentieth of the just noticeable difference
    }
  });

  it('changes a tone by the gain of its stated response', () => {
    for (const hz of [110, 500, 2800, 6000]) {
      const filter = new SpeakerStandIn(sampleRateHz);
      const output = inBlocks(sine(16384, hz, sampleRateHz), 128, (x, n, y) => filter.process(x, n, y));
      const level = decibels(toneAt(output, hz, sampleRateHz, 8192).amplitude);
      // settled after 8192 samples; the window's side lobes are below -92 dB
      expect(Math.abs(level - standInResponseDb(hz, sampleRateHz))).toBeLessThan(0.001);
    }
  });

  it('does not depend on the lengths of the blocks', () => {
    const run = (block: number): Float64Array => {
      const filter = new SpeakerStandIn(sampleRateHz);
      return inBlocks(noise(2000, 1), block, (x, n, y) => filter.process(x, n, y));
    };
    for (const block of [1, 37, 128]) expect(run(block)).toEqual(run(512));
  });
});

describe('SpeakerStandIn', () => {
  it('becomes exactly silent and returns to its first state on reset', () => {
    const filter = new SpeakerStandIn(48000);
    const input = noise(48000, 3).fill(0, 100);
    const first = new Float64Array(48000);
    filter.process(input, 48000, first);
    expect(first.at(-1)).toBe(0);
    filter.reset();
    const second = new Float64Array(48000);
    filter.process(input, 48000, second);
    expect(second).toEqual(first);
  });

  it('refuses a sample rate too low to hold its band', () => {
    expect(() => new SpeakerStandIn(8000)).toThrow('does not fit a rate of 8000 Hz');
  });
});
