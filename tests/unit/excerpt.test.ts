import { describe, expect, it } from 'vitest';
import { wholeLoudness } from '../../engine/analysis/build-measurement.ts';
import { type ExcerptPlan, excerptText, renderExcerpt } from '../../engine/analysis/excerpt.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import { presetBuild } from '../preset-build.ts';

const RATE_HZ = 44_100;
const plain = presetBuild('soft-plain');
/** The same pedal with a lower output knob. */
const quiet = { ...plain, title: 'Turned down', knobs: { ...plain.knobs, output: 0.2 } };

function plan(change: Partial<ExcerptPlan>): ExcerptPlan {
  return {
    a: plain,
    inputV: Float64Array.from(
      { length: RATE_HZ },
      (_, n) => 0.1 * Math.sin((2 * Math.PI * 220 * n) / RATE_HZ),
    ),
    oversampling: { factor: 4, quality: 'linear-phase', sampleRateHz: RATE_HZ },
    temperatureK: NOMINAL_TEMPERATURE_K,
    around: {},
    hasStandIn: false,
    rounds: 1,
    ...change,
  };
}

const part = (samples: Float64Array, fromSeconds: number, toSeconds: number) =>
  samples.slice(Math.round(fromSeconds * RATE_HZ), Math.round(toSeconds * RATE_HZ));

describe('an excerpt', () => {
  const two = renderExcerpt(plan({ b: quiet, rounds: 2, turnSeconds: 0.5 }));

  it('changes from A to B and back after the given time, until the end', () => {
    expect(two.samples.length).toBe(2 * RATE_HZ);
    expect(two.passages).toEqual([
      { slot: 'a', startSeconds: 0, endSeconds: 0.5 },
      { slot: 'b', startSeconds: 0.5, endSeconds: 1 },
      { slot: 'a', startSeconds: 1, endSeconds: 1.5 },
      { slot: 'b', startSeconds: 1.5, endSeconds: 2 },
    ]);
  });

  it('lowers the louder build until both are equally loud, within a tenth of a decibel (ITU-R BS.1770-5)', () => {
    expect(two.matchDb.b).toBe(0);
    expect(two.matchDb.a).toBeLessThan(-6);
    const a = wholeLoudness(part(two.samples, 1.02, 1.5), RATE_HZ);
    const b = wholeLoudness(part(two.samples, 1.52, 2), RATE_HZ);
    expect(Math.abs(a - b)).toBeLessThan(0.1);
  });

  it('is solved at a rate that is enough for both builds, and says which, by how much it may be off, and why', () => {
    const sharp = Float64Array.from({ length: 4410 }, (_, n) => Math.sin((2 * Math.PI * 5000 * n) / RATE_HZ));
    const slow = {
      b: quiet,
      rounds: 2,
      inputV: sharp,
      oversampling: { factor: 1, quality: 'linear-phase', sampleRateHz: RATE_HZ },
    } as const;
    const raised = renderExcerpt(plan(slow));
    expect(raised.factor).toBeGreaterThan(1);
    for (const { errorDb } of raised.errors) expect(errorDb).toBeLessThan(-70);
    expect(raised.warnings).toEqual([]);
    const fixed = plan({ ...slow, isRateFixed: true });
    const off = renderExcerpt(fixed);
    expect(off.factor).toBe(1);
    expect(off.warnings[0]).toMatch(/^A: The solver may be off by −\d\d dB of the output from /);
    const text = excerptText(fixed, off);
    expect(text).toMatch(
      /\nOversampling 1x; solver error about -\d+ and -\d+ dB of the output\.\nA: The solver /,
    );
  });

  it('changes without a click: no step is larger than the sine’s own steepest step', () => {
    const steepest = (samples: Float64Array) =>
      samples.reduce(
        (most, value, n) => (n === 0 ? 0 : Math.max(most, Math.abs(value - samples[n - 1]!))),
        0,
      );
    const inside = Math.max(steepest(part(two.samples, 1.1, 1.4)), steepest(part(two.samples, 1.6, 1.9)));
    expect(steepest(part(two.samples, 0.9, 1.1))).toBeLessThan(1.1 * inside);
  });

  it('peaks 3 dB below full scale', () => {
    const peak = two.samples.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
    expect(20 * Math.log10(peak)).toBeCloseTo(-3, 6);
  });

  it('of one build plays the whole recording, at its own level', () => {
    const one = renderExcerpt(plan({}));
    expect(one.passages).toEqual([{ slot: 'a', startSeconds: 0, endSeconds: 1 }]);
    expect(one.matchDb).toEqual({ a: 0, b: 0 });
  });

  it('lists which build plays when, the level match and the swaps', () => {
    const text = excerptText(plan({ b: quiet }), two);
    expect(text).toContain('0:00.5 to 0:01.0  B  Turned down');
    expect(text).toMatch(/Equally loud .*: A is turned down by \d+\.\d dB/);
    expect(text).toContain('VR3 output 1:00 to 9:00');
    // The output knob does not count.
    expect(text).toMatch(/\nA: clips from (\d+\.\d mV)\nB: clips from \1\nClips from: input peak at 1 kHz/);
  });

  it('tells two circuits apart by parts with the same job', () => {
    const text = excerptText(plan({ b: presetBuild('clean-plain') }), two);
    expect(text).toContain('A and B differ in:\nTwo circuits: Soft clip and Clean blend.\n');
    expect(text).toContain('gain resistor: R4 4k7 to R4 2k2');
    expect(text).toContain('Output buffer: C8 100n, R12 510k');
  });

  it('names a build by the title made from its swaps', () => {
    const swapped = { ...plain, parts: { ...plain.parts, D1: { type: 'OA91' } } };
    const text = excerptText(plan({ b: swapped }), two);
    expect(text).toContain('A: Plain build\nB: Plain build, D1 OA91\n');
    expect(text).toContain('0:00.5 to 0:01.0  B  Plain build, D1 OA91');
  });

  it('of zero length is refused', () => {
    expect(() => renderExcerpt(plan({ inputV: new Float64Array(0) }))).toThrow(/no length/);
    expect(() => renderExcerpt(plan({ b: quiet, turnSeconds: 0 }))).toThrow(/no length/);
  });
});
