import { describe, expect, it } from 'vitest';
import { Crossfade, SWITCH_FADE_SECONDS } from '../../engine/audio/crossfade.ts';
import { inBlocks, noise } from './audio-signals.ts';

const ONES = new Float64Array(1000).fill(1);
const ZEROS = new Float64Array(1000);

/** Gain of B sample by sample, from A = 0 and B = 1. */
function gains(fade: Crossfade, frames: number): Float64Array {
  const output = new Float64Array(frames);
  fade.process(ZEROS, ONES, frames, output);
  return output;
}

function largestStep(signal: Float64Array): number {
  let most = 0;
  for (let n = 1; n < signal.length; n++) most = Math.max(most, Math.abs(signal[n]! - signal[n - 1]!));
  return most;
}

describe('Crossfade', () => {
  it('is half a cosine of the stated length', () => {
    const fade = new Crossfade(48000, SWITCH_FADE_SECONDS);
    fade.fadeTo('b');
    const gain = gains(fade, 300);
    for (let n = 0; n < 240; n++) {
      expect(gain[n]).toBeCloseTo(0.5 - 0.5 * Math.cos((Math.PI * (n + 1)) / 240), 12); // same formula, rounding
    }
    expect(gain.subarray(239).every((x) => x === 1)).toBe(true);
    expect(fade.fading).toBe(false);
  });

  it('does not change a signal that is equal on both sides', () => {
    const fade = new Crossfade(48000, 0.005);
    const input = noise(1000, 1);
    const output = new Float64Array(1000);
    fade.fadeTo('b');
    fade.process(input, input, 1000, output);
    for (let n = 0; n < 1000; n++) expect(output[n]).toBeCloseTo(input[n]!, 14); // gains add up to one but for rounding
  });

  it('passes A or B bit for bit outside a fade, even beside a non-finite signal', () => {
    const fade = new Crossfade(48000, 0.005);
    const input = noise(1000, 1);
    const broken = new Float64Array(1000).fill(Number.NaN);
    const output = new Float64Array(1000);
    fade.process(input, broken, 1000, output);
    expect(output).toEqual(input);
    fade.jumpTo('b');
    fade.process(broken, input, 1000, output);
    expect(output).toEqual(input);
  });

  it('reverses in the middle of a fade without a jump', () => {
    const fade = new Crossfade(48000, 0.005);
    fade.fadeTo('b');
    const pieces = [gains(fade, 100)];
    for (const target of ['a', 'b', 'a'] as const) {
      fade.fadeTo(target);
      pieces.push(gains(fade, 37));
    }
    pieces.push(gains(fade, 200));
    const all = Float64Array.from(pieces.flatMap((piece) => [...piece]));
    expect(largestStep(all)).toBeLessThanOrEqual(Math.PI / 2 / 240); // steepest slope of half a cosine
    expect(all.at(-1)).toBe(0);
  });

  it('does not depend on the lengths of the blocks', () => {
    const run = (block: number): Float64Array => {
      const fade = new Crossfade(48000, 0.005);
      fade.fadeTo('b');
      return inBlocks(noise(1000, 2), block, (x, n, y) => fade.process(x, ONES, n, y));
    };
    for (const block of [1, 37, 128]) expect(run(block)).toEqual(run(512));
  });

  it('is back at A after reset', () => {
    const fade = new Crossfade(48000, 0.005);
    fade.fadeTo('b');
    gains(fade, 100);
    expect(fade.fading).toBe(true);
    fade.reset();
    expect(fade.fading).toBe(false);
    expect(fade.gainOfB).toBe(0);
  });

  it('refuses a time that is not positive', () => {
    expect(() => new Crossfade(48000, 0)).toThrow(RangeError);
  });
});
