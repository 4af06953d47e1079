import { describe, expect, it } from 'vitest';
import { designAllpassHalfBand, designFirHalfBand } from '../../engine/audio/half-band.ts';
import {
  Downsampler,
  OVERSAMPLING_FACTORS,
  type OversamplerOptions,
  oversamplingLatencySamples,
  type ResamplingQuality,
  Upsampler,
} from '../../engine/audio/oversampler.ts';
import { decibels, inBlocks, noise, sine, toneAt } from './audio-signals.ts';

const QUALITIES: readonly ResamplingQuality[] = ['low-latency', 'linear-phase'];
const RATES = [44100, 48000, 96000];

function up(options: OversamplerOptions, input: Float64Array, block = options.maxFrames): Float64Array {
  const upsampler = new Upsampler(options);
  return inBlocks(input, block, (x, n, y) => upsampler.process(x, n, y), options.factor);
}

function down(options: OversamplerOptions, input: Float64Array, block = options.maxFrames): Float64Array {
  const downsampler = new Downsampler(options);
  return inBlocks(input, block, (x, n, y) => downsampler.process(x, n, y), 1 / options.factor);
}

function impulseResponse(options: OversamplerOptions): Float64Array {
  const impulse = new Float64Array(1024);
  impulse[0] = 1;
  return up(options, impulse);
}

/** |H| at a frequency, from an impulse response. */
function magnitude(response: Float64Array, frequencyHz: number, sampleRateHz: number): number {
  let re = 0;
  let im = 0;
  for (let n = 0; n < response.length; n++) {
    re += response[n]! * Math.cos((2 * Math.PI * frequencyHz * n) / sampleRateHz);
    im += response[n]! * Math.sin((2 * Math.PI * frequencyHz * n) / sampleRateHz);
  }
  return Math.hypot(re, im);
}

describe('half-band filter design', () => {
  it('keeps the gain at DC at exactly one', () => {
    const sum = designFirHalfBand(104, 0.08).reduce((a, b) => a + b, 0);
    expect(sum).toBeCloseTo(0.25, 15); // rounding of a sum of about twenty taps
  });

  it('makes stable allpass sections', () => {
    for (const transition of [0.02, 0.0465, 0.0833, 0.3]) {
      const { even, odd } = designAllpassHalfBand(104, transition);
      for (const a of [...even, ...odd]) expect(a > 0 && a < 1).toBe(true);
    }
  });

  it('refuses a transition band of zero width', () => {
    expect(() => designAllpassHalfBand(100, 0)).toThrow(RangeError);
    expect(() => designFirHalfBand(100, 0.5)).toThrow(RangeError);
  });
});

/** Higher factors add stages like the last one, and take long to measure. */
const USUAL_FACTORS = OVERSAMPLING_FACTORS.filter((factor) => factor <= 32);

describe.each(QUALITIES)('%s oversampling', (quality) => {
  it.each(RATES)('passes 20 Hz to 20 kHz within 0.01 dB when upsampling at %i Hz', (sampleRateHz) => {
    for (const factor of USUAL_FACTORS) {
      const response = impulseResponse({ factor, quality, sampleRateHz, maxFrames: 1024 });
      for (const hz of [20, 100, 1000, 5000, 10000, 15000, 18000, 19500, 20000]) {
        const gain = magnitude(response, hz, sampleRateHz * factor) / factor;
        expect(Math.abs(decibels(gain)), `${factor}x, ${hz} Hz`).toBeLessThan(0.01);
      }
    }
  });

  it.each(RATES)('keeps images of the pass band below -100 dB at %i Hz', (sampleRateHz) => {
    for (const factor of USUAL_FACTORS) {
      const response = impulseResponse({ factor, quality, sampleRateHz, maxFrames: 1024 });
      for (let k = 1; k <= factor / 2; k++) {
        for (let hz = 20; hz <= 20000; hz += 740) {
          for (const image of [k * sampleRateHz - hz, k * sampleRateHz + hz]) {
            if (image > (sampleRateHz * factor) / 2) continue;
            const gain = magnitude(response, image, sampleRateHz * factor) / factor;
            expect(decibels(gain), `${factor}x, ${image} Hz`).toBeLessThan(-100);
          }
        }
      }
    }
  });

  it('keeps aliases of everything above the band below -100 dB when downsampling', () => {
    const sampleRateHz = 48000;
    const factor = 8;
    const frames = 4096;
    for (const hz of [28500, 33000, 47000, 67000, 80000, 95500, 115000, 140000, 180000, 191500]) {
      const high = sine(frames * factor, hz, sampleRateHz * factor);
      const low = down({ factor, quality, sampleRateHz, maxFrames: frames }, high);
      let peak = 0;
      for (const sample of low.subarray(1000)) peak = Math.max(peak, Math.abs(sample));
      expect(decibels(peak), `${hz} Hz`).toBeLessThan(-100);
    }
  });

  it.each(USUAL_FACTORS)('has the latency that it states, both directions together, at %ix', (factor) => {
    for (const sampleRateHz of RATES) {
      const options: OversamplerOptions = { factor, quality, sampleRateHz, maxFrames: 512 };
      const delays: number[] = [];
      for (const hz of [950, 1050]) {
        const output = down(options, up(options, sine(16384, hz, sampleRateHz)));
        const { amplitude, phase } = toneAt(output, hz, sampleRateHz, 2000);
        expect(amplitude).toBeCloseTo(1, 4); // 0.001 dB: pass-band deviation of the design is 6e-6
        delays.push(-phase);
      }
      // Group delay is the derivative of the phase; below 100 samples the difference stays under 180 degrees.
      const turn = 2 * Math.PI;
      const difference = ((delays[1]! - delays[0]! + 2.5 * turn) % turn) - turn / 2;
      const samples = (difference / (turn * 100)) * sampleRateHz;
      const error = samples - oversamplingLatencySamples(options);
      expect(Math.abs(error), `${sampleRateHz} Hz`).toBeLessThan(0.001); // curvature of the phase over 100 Hz
    }
  });

  it('does not depend on the lengths of the blocks', () => {
    for (const factor of USUAL_FACTORS) {
      const options: OversamplerOptions = { factor, quality, sampleRateHz: 48000, maxFrames: 512 };
      const input = noise(1536, 7);
      const expected = down(options, up(options, input, 512), 512);
      for (const block of [1, 37, 128]) {
        expect(down(options, up(options, input, block), block)).toEqual(expected);
      }
    }
  });

  it('returns to its first state on reset', () => {
    const upsampler = new Upsampler({ factor: 4, quality, sampleRateHz: 48000, maxFrames: 64 });
    const input = noise(64, 3);
    const first = new Float64Array(256);
    const second = new Float64Array(256);
    upsampler.process(input, 64, first);
    upsampler.reset();
    upsampler.process(input, 64, second);
    expect(second).toEqual(first);
  });

  it('changes nothing at 1x', () => {
    const options: OversamplerOptions = { factor: 1, quality, sampleRateHz: 48000, maxFrames: 256 };
    const input = noise(256, 1);
    expect(down(options, up(options, input))).toEqual(input);
    expect(oversamplingLatencySamples(options)).toBe(0);
  });
});

describe('linear-phase oversampling', () => {
  it.each(OVERSAMPLING_FACTORS)(
    'has an exactly symmetric impulse response about a whole sample, up and down, at %ix',
    (factor) => {
      const options: OversamplerOptions = {
        factor,
        quality: 'linear-phase',
        sampleRateHz: 48000,
        maxFrames: 512,
      };
      const impulse = new Float64Array(512);
      impulse[0] = 1;
      const response = down(options, up(options, impulse));
      const middle = oversamplingLatencySamples(options);
      expect(Number.isInteger(middle)).toBe(true);
      for (let n = 0; n <= middle; n++) {
        // the same products are summed in another order: only rounding
        expect(Math.abs(response[middle - n]! - response[middle + n]!)).toBeLessThan(1e-16);
      }
      for (const sample of response.subarray(2 * middle + 1)) expect(sample).toBe(0);
    },
  );
});

describe('low-latency oversampling', () => {
  it('takes fewer than eight samples at 48 kHz', () => {
    for (const factor of OVERSAMPLING_FACTORS) {
      const latency = oversamplingLatencySamples({ factor, quality: 'low-latency', sampleRateHz: 48000 });
      expect(latency).toBeLessThan(8);
    }
  });

  it('is exactly silent again after a sound', () => {
    const options: OversamplerOptions = {
      factor: 4,
      quality: 'low-latency',
      sampleRateHz: 48000,
      maxFrames: 48000,
    };
    const input = new Float64Array(48000);
    input.set(noise(1000, 5));
    const output = down(options, up(options, input));
    expect(output.at(-1)).toBe(0);
  });
});

describe('oversampling options', () => {
  it('refuses options that it cannot do', () => {
    const good: OversamplerOptions = {
      factor: 8,
      quality: 'low-latency',
      sampleRateHz: 48000,
      maxFrames: 128,
    };
    expect(() => new Upsampler({ ...good, factor: 3 as never })).toThrow('must be a power of two up to 256');
    expect(() => new Downsampler({ ...good, sampleRateHz: 0 })).toThrow('must be positive');
    expect(() => new Upsampler({ ...good, maxFrames: 0 })).toThrow('at least one sample');
  });
});
