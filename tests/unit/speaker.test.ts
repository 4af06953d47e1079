import { describe, expect, it } from 'vitest';
import { Convolver } from '../../engine/audio/convolver.ts';
import { Speaker, speakerResponse } from '../../engine/audio/speaker.ts';
import { standInResponseDb } from '../../engine/audio/speaker-stand-in.ts';

/** Pseudo-random numbers, the same in every run. */
function numbers(count: number, seed: number): Float64Array {
  let state = seed;
  return Float64Array.from({ length: count }, () => {
    state = (state * 1_103_515_245 + 12_345) % 2 ** 31;
    return state / 2 ** 30 - 1;
  });
}

/** y_n = Σ h_k·x_(n−k), by its definition. */
function direct(h: Float64Array, x: Float64Array): Float64Array {
  return x.map((_, n) => {
    let sum = 0;
    for (let k = 0; k < h.length && k <= n; k++) sum += h[k]! * x[n - k]!;
    return sum;
  });
}

describe('convolution', () => {
  const x = numbers(3000, 7);

  it.each([1, 100, 128, 129, 256, 1000, 2049])('with %i samples is that of the definition', (length) => {
    const h = numbers(length, 3);
    const output = new Float64Array(x.length);
    new Convolver(h).process(x, x.length, output);
    const expected = direct(h, x);
    // rounding of transforms of 256 over sums of up to 2049
    for (let n = 0; n < x.length; n++) expect(Math.abs(output[n]! - expected[n]!)).toBeLessThan(1e-11);
  });

  it.each([1, 37, 128, 500])('in blocks of %i gives the same samples', (block) => {
    const h = numbers(700, 5);
    const convolver = new Convolver(h);
    const output = new Float64Array(x.length);
    for (let start = 0; start < x.length; start += block) {
      const piece = x.slice(start, start + block);
      convolver.process(piece, piece.length, piece);
      output.set(piece, start);
    }
    const whole = new Float64Array(x.length);
    new Convolver(h).process(x, x.length, whole);
    expect(output).toEqual(whole);
  });

  it('forgets everything on reset', () => {
    const convolver = new Convolver(numbers(700, 5));
    const output = new Float64Array(x.length);
    convolver.process(x, x.length, output);
    convolver.reset();
    convolver.process(new Float64Array(1000), 1000, output);
    expect(output.subarray(0, 1000).every((value) => value === 0)).toBe(true);
  });

  it('needs a response', () => {
    expect(() => new Convolver(new Float64Array(0))).toThrow(RangeError);
  });
});

describe('a speaker of the user', () => {
  it('is as loud as the built-in one: a plain click becomes its mean gain from 100 Hz to 5 kHz', () => {
    const response = speakerResponse(Float64Array.of(0.01, 0, 0, 0), 48_000, 48_000);
    let power = 0;
    for (let n = 0; n <= 1000; n++)
      power += 10 ** (standInResponseDb(100 * 50 ** (n / 1000), 48_000) / 10) / 1001;
    expect(20 * Math.log10(response[0]!)).toBeCloseTo(10 * Math.log10(power), 1);
  });

  it('is converted to the signal’s rate: a click at 96 kHz is a click at 48 kHz', () => {
    const click = new Float64Array(960);
    click[400] = 1;
    const response = speakerResponse(click, 96_000, 48_000);
    expect(response.length).toBe(480);
    expect(response.indexOf(Math.max(...response))).toBe(200);
  });

  it('is cut after a sixth of a second', () => {
    expect(speakerResponse(numbers(96_000, 3), 48_000, 48_000).length).toBe(8192);
  });

  it('is refused if it is silent', () => {
    expect(() => speakerResponse(new Float64Array(100), 48_000, 48_000)).toThrow(/silent/);
  });

  it('replaces the built-in one, and can be replaced by it', () => {
    const speaker = new Speaker(48_000, 4);
    const click = Float64Array.of(1, 0, 0, 0);
    const heard = new Float64Array(4);
    speaker.setResponse(Float64Array.of(0.5, 0.25));
    speaker.process(click, 4, heard);
    expect([...heard]).toEqual([0.5, 0.25, 0, 0]);
    speaker.setResponse(new Float64Array(0));
    speaker.process(click, 4, heard);
    expect(heard[0]).not.toBe(0.5);
  });
});
