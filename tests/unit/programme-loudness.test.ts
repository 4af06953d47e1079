import { describe, expect, it } from 'vitest';
import { loudnessReadings, ProgrammeLoudness } from '../../engine/audio/programme-loudness.ts';
import { TruePeakMeter, truePeakDb } from '../../engine/audio/true-peak.ts';
import { noise } from './audio-signals.ts';

const RATE_HZ = 48_000;

/** Sections of 1 kHz one after another, seconds and dBFS peak, with continuous phase. */
function tones(stretches: readonly (readonly [seconds: number, dbfs: number])[]): Float64Array {
  const lengths = stretches.map(([seconds]) => Math.round(seconds * RATE_HZ));
  const signal = new Float64Array(lengths.reduce((sum, length) => sum + length, 0));
  let start = 0;
  for (const [index, [, dbfs]] of stretches.entries()) {
    const end = start + lengths[index]!;
    const peak = 10 ** (dbfs / 20);
    for (let n = start; n < end; n++) signal[n] = peak * Math.sin((2 * Math.PI * 1000 * n) / RATE_HZ);
    start = end;
  }
  return signal;
}

const repeated = <T>(times: number, list: readonly T[]): T[] =>
  Array.from({ length: times }, () => list).flat();

/** EBU Tech 3341 v4 (November 2023), table 1: stereo sines of 1 kHz, the same in both channels. */
const CASES: readonly {
  readonly name: string;
  readonly lufs: number;
  readonly stretches: readonly (readonly [number, number])[];
}[] = [
  { name: '1', lufs: -23, stretches: [[20, -23]] },
  { name: '2', lufs: -33, stretches: [[20, -33]] },
  {
    name: '3',
    lufs: -23,
    stretches: [
      [10, -36],
      [60, -23],
      [10, -36],
    ],
  },
  {
    name: '4',
    lufs: -23,
    stretches: [
      [10, -72],
      [10, -36],
      [60, -23],
      [10, -36],
      [10, -72],
    ],
  },
  {
    name: '5',
    lufs: -23,
    stretches: [
      [20, -26],
      [20.1, -20],
      [20, -26],
    ],
  },
];
/** Tolerance of the document, LU. */
const TOLERANCE_LU = 0.1;

describe('programme loudness', () => {
  it.each(CASES)('reads case $name of EBU Tech 3341 within its tolerance', ({ lufs, stretches }) => {
    const channel = tones(stretches);
    const { integratedLufs } = loudnessReadings([channel, channel], RATE_HZ);
    expect(Math.abs(integratedLufs - lufs)).toBeLessThan(TOLERANCE_LU);
  });

  it('adds channels: one of two channels, or a recording with one, is 3.01 LU less than both', () => {
    const channel = tones([[5, -23]]);
    const both = loudnessReadings([channel, channel], RATE_HZ).integratedLufs;
    const left = loudnessReadings([channel, new Float64Array(channel.length)], RATE_HZ).integratedLufs;
    const single = loudnessReadings([channel], RATE_HZ).integratedLufs;
    expect(both - left).toBeCloseTo(10 * Math.log10(2), 9);
    expect(single).toBeCloseTo(left, 9);
  });

  it('has a steady short-term loudness where loud and soft alternate within 3 s', () => {
    // EBU Tech 3341 case 9, from memory: -20 dBFS for 1.34 s, -30 dBFS for 1.66 s, five times: S = -23.0
    const channel = tones(repeated(5, [[1.34, -20] as const, [1.66, -30] as const]));
    const meter = new ProgrammeLoudness(RATE_HZ, 2, 4800);
    for (let start = 0; start < channel.length; start += 4800) {
      const piece = channel.slice(start, start + 4800);
      meter.process([piece, piece], piece.length);
      if (start >= 3 * RATE_HZ) expect(Math.abs(meter.shortTerm + 23)).toBeLessThan(TOLERANCE_LU);
    }
    expect(Math.abs(meter.maximumShortTerm + 23)).toBeLessThan(TOLERANCE_LU);
  });

  it('has a steady momentary loudness where loud and soft alternate within 400 ms', () => {
    // EBU Tech 3341 case 12, from memory: -20 dBFS for 0.18 s, -30 dBFS for 0.22 s, 25 times: M = -23.0
    const channel = tones(repeated(25, [[0.18, -20] as const, [0.22, -30] as const]));
    const { maximumMomentaryLufs } = loudnessReadings([channel, channel], RATE_HZ);
    expect(Math.abs(maximumMomentaryLufs + 23)).toBeLessThan(TOLERANCE_LU);
  });

  it('keeps the highest momentary loudness of a burst, which the mean of a long programme does not show', () => {
    const channel = tones([
      [30, -40],
      [0.4, -10],
      [30, -40],
    ]);
    const { maximumMomentaryLufs, maximumShortTermLufs, integratedLufs } = loudnessReadings(
      [channel, channel],
      RATE_HZ,
    );
    expect(Math.abs(maximumMomentaryLufs + 10)).toBeLessThan(TOLERANCE_LU);
    // 0.4 s of 3 s at -10 LUFS, the rest 30 dB below: 10 log10(0.4/3) = -8.75 LU
    expect(Math.abs(maximumShortTermLufs + 18.75)).toBeLessThan(TOLERANCE_LU);
    // Mean of all blocks; the relative gate (-10 below it) removes none: 0.4 s at -10 and 60 s at -40 LUFS.
    const mean = 10 * Math.log10((0.4 * 10 ** -1 + 60 * 10 ** -4) / 60.4);
    expect(Math.abs(integratedLufs - mean)).toBeLessThan(TOLERANCE_LU);
  });

  it('gives no number in silence, below the absolute gate and before the first 400 ms', () => {
    for (const channel of [new Float64Array(RATE_HZ), tones([[5, -75]]), tones([[0.39, -20]])]) {
      expect(loudnessReadings([channel, channel], RATE_HZ).integratedLufs).toBe(Number.NEGATIVE_INFINITY);
    }
  });

  it('does not depend on the lengths of the blocks, and forgets everything on reset', () => {
    const signal = noise(2 * RATE_HZ, 3);
    const read = (block: number) => {
      const meter = new ProgrammeLoudness(RATE_HZ, 1, 512);
      for (const pass of [0, 1]) {
        if (pass === 1) meter.reset();
        for (let start = 0; start < signal.length; start += block) {
          const piece = signal.slice(start, start + block);
          meter.process([piece], piece.length);
        }
      }
      return [meter.integrated, meter.maximumMomentary, meter.momentary];
    };
    for (const block of [1, 37, 128]) expect(read(block)).toEqual(read(512));
  });

  it('refuses a rate, count or block that is not positive', () => {
    expect(() => new ProgrammeLoudness(0, 1, 128)).toThrow(RangeError);
    expect(() => new ProgrammeLoudness(48000, 0, 128)).toThrow(RangeError);
    expect(() => new ProgrammeLoudness(48000, 1, 0)).toThrow(RangeError);
  });
});

describe('true peak', () => {
  /** A tone at a quarter of the sample rate, whose samples miss its peaks unless the phase is 90 degrees. */
  const quarter = (peak: number, degrees: number) =>
    Float64Array.from(
      { length: RATE_HZ },
      (_, n) => peak * Math.sin((Math.PI / 2) * n + (degrees * Math.PI) / 180),
    ).map((value, n, all) => {
      // Faded, so that the tone's own start makes no peak between samples.
      const edge = Math.min(n, all.length - 1 - n) / 4800;
      return edge >= 1 ? value : value * Math.sin((Math.PI / 2) * edge) ** 2;
    });

  it.each([
    ['15', 0.5, 0, -6],
    ['19', 1.41, 45, 3],
  ])('reads case %s of EBU Tech 3341 within +0.2 and -0.4 dB', (_, peak, degrees, dbtp) => {
    const error = truePeakDb([quarter(peak, degrees)]) - dbtp;
    expect(error).toBeLessThan(0.2);
    expect(error).toBeGreaterThan(-0.4);
  });

  it('finds peaks between samples, at any phase and frequency up to 20 kHz', () => {
    for (const hz of [100, 997, 5000, 10_000, 15_000, 20_000]) {
      for (const phase of [0, 0.4, 1.1]) {
        const signal = Float64Array.from({ length: 9600 }, (_, n) => {
          const fade = Math.min(1, n / 2400, (9599 - n) / 2400);
          return fade * Math.sin((2 * Math.PI * hz * n) / RATE_HZ + phase);
        });
        const db = truePeakDb([signal]);
        // BS.1770-5 Annex 2: at four times the rate a peak is missed by at most 0.688 dB at half the
        // original rate; the filter's ripple adds a few tenths.
        expect(db, `${hz} Hz`).toBeLessThan(0.3);
        expect(db, `${hz} Hz`).toBeGreaterThan(-0.7);
      }
    }
  });

  it('is the higher of two channels, and -Infinity in silence', () => {
    const soft = quarter(0.1, 45);
    expect(truePeakDb([soft, quarter(0.5, 0)])).toBe(truePeakDb([quarter(0.5, 0)]));
    expect(truePeakDb([new Float64Array(8)])).toBe(Number.NEGATIVE_INFINITY);
  });

  it('does not depend on block length, and forgets on reset', () => {
    const signal = noise(5000, 9);
    const meter = new TruePeakMeter();
    const whole = new TruePeakMeter();
    whole.process(signal, signal.length);
    meter.process(Float64Array.of(50), 1);
    meter.reset();
    for (let start = 0; start < signal.length; start += 37) {
      const piece = signal.slice(start, start + 37);
      meter.process(piece, piece.length);
    }
    expect(meter.peak).toBe(whole.peak);
  });
});
